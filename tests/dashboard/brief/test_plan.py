from collections.abc import Callable
from dataclasses import replace
from datetime import date
from io import BytesIO
from math import comb
from typing import Any

from pypdf import PdfReader

from dashboard.brief.examine import examine, thin_ewes
from dashboard.brief.feed import feed
from dashboard.brief.next_time import expected, next_time, precision
from dashboard.brief.plan import render
from dashboard.brief.tables import Tables

Make = Callable[..., Tables]


def words(part: Any) -> str:
    return " ".join(part.sentences).replace("\u00a0", " ")


def missed(examined: int, ewes: int, cases: int, sensitivity: float) -> float:
    """Chance of no positive, by counting samples (independent of scipy)."""
    ways = [comb(cases, hit) * comb(ewes - cases, examined - hit) for hit in range(min(cases, examined) + 1)]
    return sum(way * (1 - sensitivity) ** hit for hit, way in enumerate(ways)) / comb(ewes, examined)


def test_the_next_session_is_expected_to_be_like_the_last(tables: Make) -> None:
    known = expected(tables())
    assert (known.flock, round(known.share, 4)) == (420, round(41 / 180, 4))
    # numpy.std of the 180 scores with ddof=1
    assert round(known.spread, 3) == 0.445


def test_a_farm_never_scored_is_taken_for_a_usual_one(tables: Make) -> None:
    known = expected(tables(scored=False))
    assert (known.share, known.spread) == (0.1, 0.5)  # the thin limit; Ridler 2022, derived
    assert "never scored" in words(next_time(tables(scored=False)))


def test_the_number_to_score_is_said_with_its_precision(tables: Make) -> None:
    said = words(next_time(tables()))
    # 43 and 137 hold by exact hypergeometric sums in tests/pipelines/statistics; here that they are said
    assert "of 420 ewes to know the share thin within ± 10 points" in said
    # t(14) 1.761 × 0.445 / √15 × √(1 − 15/420) = 0.199; with 14 ewes t(13) 1.771 gives 0.207
    assert "15 ewes are enough" in said


def test_the_picture_narrows_to_nothing_when_all_are_scored(tables: Make) -> None:
    points = precision(tables())
    halves = [half for _, half in points]
    assert points[-1] == (420, 0.0)
    assert halves == sorted(halves, reverse=True)


def test_the_stopping_table_never_contradicts_itself(tables: Make) -> None:
    for scored, over, under in next_time(tables()).lines:
        assert over == "–" or int(over) <= int(scored)
        assert under == "–" or over == "–" or int(under) < int(over)


def test_ewes_to_examine_reach_the_confidence_and_one_fewer_does_not(tables: Make) -> None:
    said = words(examine(tables(), prevalence=0.10, confidence=0.95, sensitivity=0.9))
    number = int(said.split("Sample ")[1].split(" of")[0])
    # 10 % of 41 is 4 ewes, rounded down
    assert missed(number, 41, 4, 0.9) <= 0.05 < missed(number - 1, 41, 4, 0.9)


def test_twelve_negatives_say_what_they_cannot_say(tables: Make) -> None:
    said = words(examine(tables()))
    # 9 of 41 (22 %) is the smallest number of cases that 12 negatives exclude at 95 % with sensitivity 0.9
    assert missed(12, 41, 9, 0.9) <= 0.05 < missed(12, 41, 8, 0.9)
    assert "12 negatives make it unlikely (95 % confidence) that 22 % or more" in said
    assert "They do not show that it is absent" in said


def test_every_cause_says_how_it_is_known(tables: Make) -> None:
    part = examine(tables())
    assert {line[3] for line in part.lines} <= {
        "published",
        "quoted",
        "common practice",
        "from memory",
        "derived",
    }
    assert any("vet" in caution for caution in part.cautions)


def test_no_thin_ewe_means_none_to_examine(tables: Make) -> None:
    found = tables()
    none = replace(found, readiness=found.readiness.assign(ewes_to_gain=0))
    assert thin_ewes(none) == 0
    assert examine(none).lines == ()


def test_feed_is_a_range_over_the_published_systems(tables: Make) -> None:
    (line,) = feed(tables(groups=1), 70.0).lines
    assert (
        line[0].replace("\u00a0", " ") == "Top hill: 41 ewes at 2.11 to 2½"
    )  # (3×1.5 + 14×2 + 24×2.25) / 41
    low, high = (float(part) for part in line[1].split("–"))
    # AFRC 1993 by hand, 70 kg on a hill: (0.23 × (70/1.08)^0.75 + 0.024 × 70) / 0.6985 = 9.93 MJ a day, and
    # 6.2 kg a score (Semakula) × 0.39 score in 61 days × 23.85 / 0.4416 = 2.14 MJ for the gain
    assert low <= 9.93 + 2.14 <= high


def test_what_is_from_memory_is_marked(tables: Make) -> None:
    assert "AFRC 1993 (from memory)" in feed(tables(), 70.0).sources[0]
    assert any("copper" in caution for caution in feed(tables(), 70.0).cautions)


def test_feed_without_time_says_so_in_the_table(tables: Make) -> None:
    late = replace(tables(groups=1), as_of=date(2026, 10, 25))
    assert "no days are left" in feed(late, 70.0).lines[0][1]


def test_the_work_sheet_stays_inside_its_margins(tables: Make, drawn: Callable[[bytes], list[Any]]) -> None:
    name = "Wester Balnahinchmore and Long Strathfel"
    boxes = drawn(render(tables(name=name, groups=14), 70.0))
    assert max(box.page for box in boxes) <= 3
    assert 48 <= min(box.left for box in boxes) <= max(box.right for box in boxes) <= 595.3 - 48


def test_the_work_sheet_can_be_read_by_machine(tables: Make) -> None:
    pages = PdfReader(BytesIO(render(tables(), 70.0))).pages
    said = " ".join(page.extract_text() for page in pages)
    for title in ("How many to score next time", "Thin ewes worth examining", "Feed for the gain"):
        assert title in said
