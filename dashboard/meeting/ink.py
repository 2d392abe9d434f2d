"""The pictures of the comparison on paper, black and white, in the hand of the visit brief."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Any

from reportlab.graphics.shapes import Circle, Drawing, Line, Rect
from reportlab.lib.colors import black, white

from dashboard.brief import typeface, words
from dashboard.brief.drawing import FILLS, HAIR, SOLID, patterned, text
from dashboard.meeting.content import Move, Session, Spread
from dashboard.meeting.pictures import HIGHEST, LOWEST


def shares(sessions: Sequence[Session], width: float) -> Drawing:
    """A stacked bar per letter: thin, on target, over; its figures at the right."""
    row, label, figures = 15.0, 26.0, 196.0
    drawing = Drawing(width, row * len(sessions) + 4)
    room = width - label - figures
    for place, at in enumerate(sessions):
        y = drawing.height - row * (place + 1)
        drawing.add(text(0, y + 3, at.letter, 10, bold=True))
        parts = (at.thin, at.on_target, at.over)
        x, whole = label, sum(parts) or 1  # rounded shares need not add up to one
        for fill, share in zip(FILLS, parts, strict=True):
            for shape in patterned(x, y + 1.5, room * share / whole, 9, fill) if share else ():
                drawing.add(shape)
            x += room * share / whole
        said = (
            f"{words.percent(at.thin)} thin, {words.percent(at.on_target)} on target, "
            f"{words.percent(at.over)} over, mean {at.mean:.1f}"
        )
        drawing.add(text(label + room + 10, y + 3, said, 7))
    return drawing


def spread(of: Spread, width: float, height: float, tallest: float) -> Drawing:
    """One letter's scores; `tallest` is the share that fills the height."""
    drawing = Drawing(width, height)
    base, top = 12.0, height - 14

    def at(score: float) -> float:
        return (score - LOWEST) / (HIGHEST - LOWEST) * width

    for low, high, share in of.bins:
        tall = (top - base) * share / tallest
        wide = at(high) - at(low) - 1
        drawing.add(
            Rect(at(low) + 0.5, base, wide, tall, fillColor=SOLID, strokeColor=black, strokeWidth=0.6)
        )
    drawing.add(Line(0, base, width, base, strokeWidth=HAIR))
    for score in range(1, 6):
        drawing.add(text(at(score), base - 9, str(score), 6, anchor="start" if score == 1 else "middle"))
    drawing.add(text(0, height - 10, of.letter, 10, bold=True))
    drawing.add(
        text(typeface.width(of.letter, 10, typeface.BOLD) + 5, height - 10, f"mean {of.mean:.1f}", 6.5)
    )
    return drawing


def over_time(sessions: Sequence[Session], width: float, height: float) -> Drawing:
    """Share on target against weeks to rams in; letters that share a place share a mark."""
    drawing = Drawing(width, height)
    left, base, right, top = 34.0, 26.0, width - 40, height - 8
    ends = [week for at in sessions for week in (at.weeks_from, at.weeks_to)]
    first, last = min(ends) - 1, max(max(ends) + 1, 0)

    def place(at: Session) -> tuple[float, float]:
        across = ((at.weeks_from + at.weeks_to) / 2 - first) / (last - first)
        return left + (right - left) * across, base + (top - base) * at.on_target

    for level in range(0, 101, 25):
        y = base + (top - base) * level / 100
        drawing.add(Line(left, y, right, y, strokeWidth=HAIR, strokeColor=SOLID))
        drawing.add(text(left - 5, y - 2.5, words.percent(level / 100), 6.5, anchor="end"))
    for week in range(first, last + 1):
        x = left + (right - left) * (week - first) / (last - first)
        drawing.add(Line(x, base, x, base - 3, strokeWidth=HAIR))
        if week % 2 == 0:
            drawing.add(text(x, base - 11, str(abs(week)), 6.5, anchor="middle"))
    drawing.add(text((left + right) / 2, 4, "weeks to rams in", 7, anchor="middle"))
    _lines(drawing, sessions, place)
    _letters(drawing, sessions, place)
    return drawing


def _lines(drawing: Drawing, sessions: Sequence[Session], place: Any) -> None:
    by_letter: dict[str, list[tuple[float, float]]] = {}
    for at in sessions:
        by_letter.setdefault(at.letter, []).append(place(at))
    for points in by_letter.values():
        points.sort()
        for one, two in pairwise(points):
            drawing.add(Line(*one, *two, strokeWidth=0.5, strokeColor=SOLID))


def _letters(drawing: Drawing, sessions: Sequence[Session], place: Any) -> None:
    marks: dict[tuple[float, float], list[str]] = {}
    for at in sessions:
        marks.setdefault(place(at), []).append(at.letter)
    for (x, y), letters in marks.items():
        said = " ".join(sorted(set(letters)))
        wide = typeface.width(said, 7.5, typeface.BOLD)
        # white behind the words: a line of another letter may run through here
        drawing.add(Rect(x + 4, y - 3.5, wide + 2, 8, fillColor=white, strokeColor=None))
        drawing.add(Circle(x, y, 2.6, fillColor=black, strokeColor=black))
        drawing.add(text(x + 5, y - 2.6, said, 7.5, bold=True))


def moves(of: Sequence[Move], width: float) -> Drawing:
    """Share on target before (ring) and now (dot), largest rise first."""
    row, label, figures, foot = 14.0, 26.0, 170.0, 14.0
    drawing = Drawing(width, row * len(of) + foot)
    room = width - label - figures
    for mark in range(0, 101, 25):
        x = label + room * mark / 100
        drawing.add(Line(x, foot - 2, x, drawing.height, strokeWidth=HAIR, strokeColor=SOLID))
        drawing.add(text(x, 2, words.percent(mark / 100), 6, anchor="middle"))
    for place, move in enumerate(of):
        y = drawing.height - row * (place + 0.5)
        before, now = label + room * move.before, label + room * move.now
        drawing.add(text(0, y - 3, move.letter, 10, bold=True))
        drawing.add(Line(before, y, now, y, strokeWidth=1.6))
        drawing.add(Circle(before, y, 3.2, fillColor=white, strokeColor=black, strokeWidth=0.9))
        drawing.add(Circle(now, y, 2.8, fillColor=black, strokeColor=black))
        then = "last season" if move.since == "last season" else f"at {move.since}"
        said = f"{words.percent(move.before)} {then}, {words.percent(move.now)} now"
        drawing.add(text(label + room + 12, y - 2.5, said, 7))
    return drawing
