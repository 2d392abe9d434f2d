"""The work sheet that goes with a brief: next scoring, ewes to examine, feed for the gain; as PDF."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import Any

from reportlab.graphics.shapes import Drawing, Line, PolyLine
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Spacer

from dashboard.brief import drawing, typeface, words
from dashboard.brief.blocks import heading, table
from dashboard.brief.choices import Choices
from dashboard.brief.examine import examine
from dashboard.brief.feed import by_system, feed, of_one_score
from dashboard.brief.next_time import next_time, precision
from dashboard.brief.parts import Part
from dashboard.brief.pdf import WIDTH, document, footer
from dashboard.brief.stop import mistakes, stop
from dashboard.brief.tables import Tables
from dashboard.brief.typeface import paragraph, style

COLUMNS = {
    3: (0.24, 0.28, 0.48),
    4: (0.2, 0.27, 0.25, 0.28),
    5: (0.28, 0.16, 0.2, 0.16, 0.2),
    7: (0.22, 0.11, 0.12, 0.15, 0.14, 0.14, 0.12),
}  # shares of the width


def render(tables: Tables, choices: Choices) -> bytes:
    """The work sheet of one farm."""
    name = words.text(tables.register().get("name")) or tables.farm
    story: list[Any] = [
        paragraph(f"Work sheet · season {tables.season} · data as of {words.day(tables.as_of)}", style(8)),
        paragraph(words.cut(name, 80), style(18, typeface.BOLD, after=2, leading=1.2)),
        *_part(next_time(tables, choices), [drawing_of(precision(tables, choices.flock), WIDTH)]),
        *(flowable for part in parts(tables, choices) for flowable in _part(part)),
    ]
    return document(
        f"Work sheet: {name}", story, footer(f"{words.cut(name, 60)} · work sheet {tables.season}")
    )


def parts(tables: Tables, choices: Choices) -> tuple[Part, ...]:
    """What follows the number to score."""
    return (
        stop(tables, choices),
        mistakes(tables, choices),
        examine(tables, choices),
        feed(tables, choices),
        by_system(choices),
        of_one_score(choices),
    )


def _part(part: Part, picture: Sequence[Any] = ()) -> Iterator[Any]:
    yield CondPageBreak(60 * mm)
    yield from heading(part.title, WIDTH)
    yield from (paragraph(said, style(8.5, after=3)) for said in part.sentences)
    yield from picture
    if part.lines:
        yield _grid(part)
    yield Spacer(1, 4)
    yield from (paragraph(f"– {said}", style(8, after=1)) for said in part.cautions)
    yield from (paragraph(said, style(6.5, after=1)) for said in part.sources)


def _grid(part: Part) -> Any:
    widths = [WIDTH * share for share in COLUMNS[len(part.head)]]
    rows = [[paragraph(cell, style(7.5, typeface.BOLD)) for cell in part.head]]
    rows += [[paragraph(cell, style(7.5)) for cell in line] for line in part.lines]
    return table(rows, widths, head=True)


def _round_step(most: int) -> int:
    """Distance of at most six round numbers from 0 to `most`: 1, 2 or 5 with noughts."""
    step = 1
    while not any(digit * step * 5 >= most for digit in (1, 2, 5)):
        step *= 10
    return next(digit * step for digit in (1, 2, 5) if digit * step * 5 >= most)


def drawing_of(points: Sequence[tuple[int, float]], width: float) -> Drawing:
    """Precision (± points of the share thin) against number scored."""
    tall, left, base = 92.0, 44.0, 26.0
    drawn = Drawing(width, tall)
    most, highest = points[-1][0], max(0.05, max(half for _, half in points))
    room, up = width - left - 14, tall - base - 8

    def at(scored: float, half: float) -> tuple[float, float]:
        return left + room * scored / most, base + up * half / highest

    for half in (0.0, 0.05, 0.10, 0.15, 0.20):
        if half <= highest:
            x, y = at(0, half)
            drawn.add(Line(x, y, x + room, y, strokeWidth=0.3, strokeColor=drawing.SOLID))
            drawn.add(drawing.text(x - 4, y - 2, f"± {half * 100:.0f}", 6, anchor="end"))
    for scored in range(0, most + 1, _round_step(most)):
        drawn.add(drawing.text(at(scored, 0)[0], base - 9, f"{scored:,}", 6, anchor="middle"))
    drawn.add(PolyLine([value for point in points for value in at(*point)], strokeWidth=1.4))
    drawn.add(drawing.text(left, 5, "ewes scored, drawn through the flock", 6.5))
    drawn.add(
        drawing.text(left + room, tall - 6, "share thin known within, in points (90 %)", 6.5, anchor="end")
    )
    return drawn
