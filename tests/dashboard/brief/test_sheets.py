from collections.abc import Callable
from datetime import date
from io import BytesIO
from typing import Any

from pypdf import PdfReader

from dashboard.brief.gather import blank_sheets
from dashboard.brief.sheets import render
from dashboard.brief.tables import Tables

DAY = date(2026, 9, 20)
Make = Callable[..., Tables]


def pages(content: bytes) -> list[str]:
    return [page.extract_text().replace("\u00a0", " ") for page in PdfReader(BytesIO(content)).pages]


def test_each_group_gets_a_counting_sheet_and_an_ewe_sheet(tables: Make) -> None:
    said = pages(render(blank_sheets(tables(groups=3), DAY)))
    assert len(said) == 6
    assert ["counting by score" in page for page in said] == [True, False] * 3


def test_sheets_are_prefilled_with_what_is_known(tables: Make) -> None:
    first = pages(render(blank_sheets(tables(groups=1), DAY)))[0]
    assert "High Sallow · Top hill" in first
    assert "Farm H01 · 20 Sep 2026" in first
    # 3×1.5 + 14×2 + 24×2.25 + 60×2.5 + 61×3 + 18×3.5 = 482.5; / 180 = 2.68
    assert "Last time, 14 Aug 2026: 180 ewes scored, 41 thin (23 %), mean 2.68." in first
    assert "last time 38" in first  # 14 at 2 and 24 at 2¼ stand on the line of 2


def test_a_farm_never_scored_gets_blank_sheets(tables: Make) -> None:
    said = pages(render(blank_sheets(tables(scored=False), DAY)))
    assert len(said) == 2
    assert "Not scored before." in said[0]


def test_nothing_runs_off_the_paper(tables: Make, drawn: Callable[[bytes], list[Any]]) -> None:
    name = "Wester Balnahinchmore and Long Strathfel"
    boxes = drawn(render(blank_sheets(tables(name=name, groups=4), DAY)))
    assert max(box.page for box in boxes) == 8
    assert min(box.left for box in boxes) >= 48
    assert max(box.right for box in boxes) <= 595.3 - 48
    assert min(box.bottom for box in boxes) >= 20
