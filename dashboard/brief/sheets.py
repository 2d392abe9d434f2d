"""Blank recording sheets for the race, A4: counting by score, and ewe by ewe; prefilled as far as known."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from reportlab.graphics.shapes import Circle, Drawing, Line, Rect
from reportlab.lib.colors import black
from reportlab.platypus import PageBreak, Spacer

from dashboard.brief import drawing, typeface, words
from dashboard.brief.blocks import Stamp
from dashboard.brief.content import GroupScores
from dashboard.brief.pdf import WIDTH, document, footer
from dashboard.brief.typeface import paragraph, style

SCORES = (1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0)
EWES_A_PAGE = 30
HEADING, ROW = 15.0, 20.4  # points
BOXES = 12  # boxes of five marks beside each score


@dataclass(frozen=True, slots=True)
class Sheet:
    """One group to be scored; `last` is its latest session, None for a group not scored before."""

    farm: str
    name: str
    group: str
    day: date
    last: GroupScores | None
    last_on: date | None


def render(sheets: Sequence[Sheet]) -> bytes:
    """For each group a page for counting by score and a page for ewe by ewe."""
    story: list[Any] = []
    for sheet in sheets:
        for page in (_counting(sheet), _single_ewes(sheet)):
            story += [PageBreak()] if story else []
            story += page
    head = sheets[0]
    return document(
        f"Recording sheets: {head.name}", story, footer(f"{words.cut(head.name, 60)} · recording sheet")
    )


def _counting(sheet: Sheet) -> Iterator[Any]:
    yield from _head(sheet, "counting by score", "One mark for each ewe: four strokes and a bar fill a box.")
    last = dict(sheet.last.cells) if sheet.last else {}
    yield _score_row("Score", None, heading=True)
    for score in SCORES:
        yield _score_row(words.score(score), _last_at(last, score) if sheet.last else None)
    yield Spacer(1, 8)
    yield _totals()


def _last_at(last: dict[float, int], score: float) -> int:
    """Last time's ewes on this line; a quarter above it is counted on it, as on the sheet."""
    return sum(ewes for known, ewes in last.items() if score <= known < score + 0.5)


def _score_row(said: str, last: int | None, heading: bool = False) -> Drawing:
    """A score, its boxes to tally in, its total; last time's count small under the score."""
    tall = 16.0 if heading else 51.0
    row = Drawing(WIDTH, tall)
    row.add(Line(0, 0, WIDTH, 0, strokeWidth=0.9 if heading else 0.3))
    if heading:
        row.add(drawing.text(0, 5, said, 8, bold=True))
        row.add(drawing.text(66, 5, "ewes, five to a box", 8, bold=True))
        row.add(drawing.text(WIDTH, 5, "total", 8, bold=True, anchor="end"))
        return row
    row.add(drawing.text(0, 22, said, 20, bold=True))
    if last is not None:
        row.add(drawing.text(0, 8, f"last time {last:,}", 6.5))
    wide = (WIDTH - 66 - 62) / BOXES
    for box in range(BOXES):
        row.add(Rect(66 + box * wide, 8, wide - 4, 36, fillColor=None, strokeColor=black, strokeWidth=0.5))
    row.add(Rect(WIDTH - 52, 8, 52, 36, fillColor=None, strokeColor=black, strokeWidth=1.2))
    return row


def _totals() -> Drawing:
    last = Drawing(WIDTH, 44)
    for place, said in enumerate(("ewes in the group", "ewes scored", "of these thin", "scored by")):
        x = place * WIDTH / 4
        last.add(drawing.text(x, 34, said, 7.5))
        last.add(Rect(x, 4, WIDTH / 4 - 8, 26, fillColor=None, strokeColor=black, strokeWidth=0.8))
    return last


def _single_ewes(sheet: Sheet) -> Iterator[Any]:
    said = "Ring the score; put a stroke beside the ring for a quarter more. Tick what is wrong."
    yield from _head(sheet, "ewe by ewe", said)
    yield Stamp("ewe-by-ewe", WIDTH, HEADING + EWES_A_PAGE * ROW, _ewe_rows)
    yield Spacer(1, 8)
    yield paragraph("Scored by ____________________     page ____ of ____", style(8))


_TAG, _SCORES, _CHECKS = 22.0, 138.0, 372.0  # where the columns begin
_CHECK_WIDE = 27.0


def _ewe_rows() -> Iterator[Drawing]:
    yield _ewe_heading()
    yield from map(_ewe_row, range(1, EWES_A_PAGE + 1))


def _ewe_heading() -> Drawing:
    row = Drawing(WIDTH, HEADING)
    row.add(Line(0, 0, WIDTH, 0, strokeWidth=0.9))
    row.add(drawing.text(_TAG, 4, "tag", 7.5, bold=True))
    row.add(drawing.text(_SCORES, 4, "condition score", 7.5, bold=True))
    for place, said in enumerate(("teeth", "lame", "udder")):
        row.add(drawing.text(_CHECKS + place * _CHECK_WIDE, 4, said, 6.5, bold=True))
    row.add(drawing.text(_CHECKS + 3 * _CHECK_WIDE + 4, 4, "note", 7.5, bold=True))
    return row


def _ewe_row(number: int) -> Drawing:
    row = Drawing(WIDTH, ROW)
    row.add(Line(0, 0, WIDTH, 0, strokeWidth=0.3))
    row.add(drawing.text(14, 6, str(number), 6.5, anchor="end"))
    row.add(Line(_TAG, 3, _SCORES - 10, 3, strokeWidth=0.3, strokeDashArray=(1, 2)))
    wide = (_CHECKS - _SCORES - 10) / len(SCORES)
    for place, score in enumerate(SCORES):
        x = _SCORES + (place + 0.5) * wide
        row.add(Circle(x, 10, 8.2, fillColor=None, strokeColor=typeface.GREY, strokeWidth=0.3))
        row.add(drawing.text(x, 7.2, words.score(score), 8, anchor="middle"))
    for place in range(3):
        x = _CHECKS + place * _CHECK_WIDE + 4
        row.add(Rect(x, 5, 11, 11, fillColor=None, strokeColor=black, strokeWidth=0.5))
    return row


def _head(sheet: Sheet, kind: str, how: str) -> Iterator[Any]:
    yield paragraph(f"Recording sheet: {kind}", style(8))
    yield paragraph(
        words.cut(f"{sheet.name} · {sheet.group}", 90), style(15, typeface.BOLD, after=2, leading=1.2)
    )
    yield paragraph(
        f"Farm {words.cut(sheet.farm, 40)} · {words.day(sheet.day)} · stage ______________", style(8.5)
    )
    yield paragraph(_last_time(sheet), style(7, after=3))
    yield paragraph(how, style(8, after=4))


def _last_time(sheet: Sheet) -> str:
    if sheet.last is None or sheet.last_on is None:
        return "Not scored before."
    last = sheet.last
    mean = sum(score * ewes for score, ewes in last.cells) / last.ewes
    thin = f"{last.thin:,} thin ({words.percent(last.thin / last.ewes)})"
    scored = words.count(last.ewes, "ewe")
    return f"Last time, {words.day(sheet.last_on)}: {scored} scored, {thin}, mean {mean:.2f}."
