from collections import defaultdict
from collections.abc import Callable
from datetime import date
from io import BytesIO
from itertools import combinations, pairwise
from typing import Any

import pytest
from pypdf import PdfReader
from reportlab.graphics.shapes import Group, String

from dashboard.brief import typeface
from dashboard.brief.compose import compose
from dashboard.brief.content import Deadline, GroupScores
from dashboard.brief.drawing import axis, distribution, shares, timeline
from dashboard.brief.pdf import render
from dashboard.brief.tables import Tables

Make = Callable[..., Tables]
Drawn = Callable[[bytes], list[Any]]
LONG_NAME = "Wester Balnahinchmore and Long Strathfel"  # 40 characters
LATER = date(2026, 10, 16)
A4 = (595.3, 841.9)  # points
EXTREMES = {
    "usual": {},
    "one group, no tag": {"groups": 1, "tagged": 0},
    "fourteen groups, 400 tags": {"name": LONG_NAME, "groups": 14, "tagged": 400},
    "400 tags in one group": {"name": LONG_NAME, "groups": 1, "tagged": 400},
    "cannot be projected": {"groups": 14, "why_not": "cannot be projected because there is no target"},
    "not scored": {"scored": False, "tagged": 0},
    "one word": {"name": "W" * 4000},
    "another script": {"name": "מזרעה <script>alert(1)</script> &amp; ŵyn"},
}


def text_of(content: bytes) -> str:
    pages = PdfReader(BytesIO(content)).pages
    return " ".join(" ".join(page.extract_text() for page in pages).replace("\u00a0", " ").split())


@pytest.mark.parametrize("case", EXTREMES)
def test_everything_stays_inside_the_margins_of_at_most_four_pages(
    case: str, tables: Make, drawn: Drawn
) -> None:
    boxes = drawn(render(compose(tables(**EXTREMES[case]))))
    assert 2 <= max(box.page for box in boxes) <= 4
    assert min(box.left for box in boxes) >= 48
    assert max(box.right for box in boxes) <= A4[0] - 48
    assert min(box.bottom for box in boxes) >= 20
    assert max(box.top for box in boxes) <= A4[1] - 30


@pytest.mark.parametrize("case", EXTREMES)
def test_no_words_run_over_others(case: str, tables: Make, drawn: Drawn) -> None:
    pages = defaultdict(list)
    for box in drawn(render(compose(tables(**EXTREMES[case])))):
        if box.said and box.right - box.left > 0.5:
            pages[box.page].append(box)
    overlaps = [(a, b) for boxes in pages.values() for a, b in combinations(boxes, 2) if overlap(a, b)]
    assert overlaps == []


def overlap(a: Any, b: Any) -> bool:
    """More than half a point either way: neighbouring words on one line may touch."""
    across = min(a.right, b.right) - max(a.left, b.left)
    return across > 0.5 and min(a.top, b.top) - max(a.bottom, b.bottom) > 0.5


def test_the_first_page_answers_the_three_questions(tables: Make) -> None:
    first = PdfReader(BytesIO(render(compose(tables())))).pages[0].extract_text()
    for asked in ("What has changed", "Who is thin", "What must happen", "High Sallow", "data as of"):
        assert asked in first


def test_the_text_can_be_extracted_with_its_signs(tables: Make) -> None:
    said = text_of(render(compose(tables())))
    assert "41 of 180 ewes scored must gain to reach 2½" in said
    assert "144–152" in said
    assert "between 61 % and 78 % likely ready" in said
    for section in (
        "Questions to ask",
        "Notes",
        "Cautions",
        "Sources",
        "Last useful dates",
        "Groups to draw",
    ):
        assert section in said


def test_the_full_tag_of_every_listed_ewe_is_printed(tables: Make) -> None:
    said = text_of(render(compose(tables(tagged=12))))
    assert all(f"UK 0 998120 {number:05d}" in said for number in range(1, 13))


def test_a_long_list_says_how_many_more_there_are(tables: Make) -> None:
    said = text_of(render(compose(tables(groups=1, tagged=400))))
    shown = said.count("UK 0 998120 ")
    assert f"and {400 - shown} more: see the draw list." in said


def test_equal_data_give_equal_bytes(tables: Make) -> None:
    assert render(compose(tables())) == render(compose(tables()))


def test_the_typeface_is_embedded(tables: Make) -> None:
    page = PdfReader(BytesIO(render(compose(tables())))).pages[1]
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    used = [font for font in fonts if "Vera" in font["/BaseFont"]]
    assert used
    assert all("/FontFile2" in font["/FontDescriptor"] for font in used)


def test_no_colour_is_used_but_greys(tables: Make) -> None:
    pages = PdfReader(BytesIO(render(compose(tables())))).pages
    for page in pages:
        for operands, operator in page.get_contents().operations:
            if operator in (b"rg", b"RG"):
                assert len({float(value) for value in operands}) == 1


def test_letters_without_a_glyph_lose_their_accent_and_other_scripts_show_as_such() -> None:
    assert typeface.printable("Cefn ŵyn ½ ≥ 2 – x") == "Cefn wyn ½ ≥ 2 – x"
    assert typeface.printable("מז") == "??"
    assert typeface.printable("a\u202eb") == "ab"


@pytest.mark.parametrize("scores", [(2.0, 2.25, 2.5, 2.75), tuple(1 + quarter / 4 for quarter in range(17))])
def test_counts_of_bars_side_by_side_do_not_touch(scores: tuple[float, ...]) -> None:
    group = GroupScores("ALL", tuple((score, 134) for score in scores), 2.5, 3.0, 1, 1, 1, 0.1, 0.2)
    panel = distribution(group, 114, 120, 134, axis([group]))
    across = []
    for shape in panel.contents:
        part = shape.contents[0] if isinstance(shape, Group) else shape
        if isinstance(part, String) and part.text == "134":
            # a standing number is as wide as a digit is high, 0.72 of its size (Vera's own metrics)
            half = 0.36 * 5.5 if part is not shape else typeface.width("134", 5.5) / 2
            middle = shape.transform[4] - half if part is not shape else part.x
            across.append((middle - half, middle + half))
    assert len(across) == len(scores)
    assert all(right < left for (_, right), (left, _) in pairwise(sorted(across)))


def test_words_at_the_ends_of_the_line_of_time_stay_on_it() -> None:
    today = date(2026, 9, 7)
    days = [Deadline("best grazing", today, today, "", ""), Deadline("rams in", LATER, LATER, "", "")]
    drawn = timeline(days, today, 300)
    for shape in drawn.contents:
        if isinstance(shape, String):
            half = typeface.width(shape.text, shape.fontSize, shape.fontName) / 2
            assert shape.x - half >= 0 and shape.x + half <= 300


def test_figures_of_a_flock_of_thousands_fit_beside_their_bar() -> None:
    group = GroupScores("ALL", ((2.0, 1204), (3.0, 1111)), 2.5, 3.0, 1204, 1111, 0, 0.27, 0.44)
    ends = [
        shape.x + typeface.width(shape.text, shape.fontSize, shape.fontName)
        for shape in shares([group], 330).contents
        if isinstance(shape, String) and "thin" in shape.text
    ]
    assert len(ends) == 1 and ends[0] <= 330.01
