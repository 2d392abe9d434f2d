"""The brief's pictures as reportlab drawings; told apart by pattern, so that they survive a photocopier.

Thin is hatched, on target is solid grey, over is dotted; the target band is framed by dashed lines.
Each function takes content and a width in points, and returns a drawing of that width.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from datetime import date
from math import ceil, floor
from typing import Any, Literal

from reportlab.graphics.shapes import Circle, Drawing, Group, Line, Rect, String
from reportlab.lib.colors import Color, black, white

from dashboard.brief import typeface, words
from dashboard.brief.content import Deadline, GroupScores, Outlook

SOLID = Color(0.62, 0.62, 0.62)
BAND = Color(0.92, 0.92, 0.92)
HAIR = 0.4
_COUNT = 5.5  # size of a count above its bar
_EDGE, _LEAST_SPAN = 0.3, 1.5  # scores beyond the outermost bar, and between the outermost
Fill = Literal["thin", "on target", "over"]
FILLS: tuple[Fill, ...] = ("thin", "on target", "over")


def text(
    x: float, y: float, said: str, size: float = 7, *, bold: bool = False, anchor: str = "start"
) -> String:
    """One line of text at (x, y)."""
    typeface.register()
    font = typeface.BOLD if bold else typeface.REGULAR
    return String(x, y, typeface.printable(said), fontName=font, fontSize=size, textAnchor=anchor)


def patterned(x: float, y: float, width: float, height: float, fill: Fill) -> Iterator[Any]:
    """A bar in the pattern of its meaning."""
    yield Rect(x, y, width, height, fillColor=SOLID if fill == "on target" else white, strokeColor=None)
    if fill == "thin":
        yield from _hatching(x, y, width, height)
    elif fill == "over":
        yield from _dots(x, y, width, height)
    yield Rect(x, y, width, height, fillColor=None, strokeColor=black, strokeWidth=0.6)


def _hatching(x: float, y: float, width: float, height: float, gap: float = 2.6) -> Iterator[Line]:
    """Rising diagonals clipped to the bar."""
    for step in range(1, int((width + height) / gap) + 1):
        reach = step * gap
        if reach >= width + height:
            return
        left, bottom = max(0.0, reach - height), max(0.0, reach - width)
        yield Line(
            x + left, y + min(height, reach), x + min(width, reach), y + bottom,
            strokeColor=black, strokeWidth=0.55,
        )  # fmt: skip


def _dots(x: float, y: float, width: float, height: float, gap: float = 3.0) -> Iterator[Circle]:
    for row in range(int(height / gap)):
        for column in range(int(width / gap)):
            centre = (x + (column + 0.5) * gap, y + (row + 0.5) * gap)
            yield Circle(*centre, 0.55, fillColor=black, strokeColor=None)


def key(width: float, names: Sequence[str]) -> Drawing:
    """What the patterns named mean: any of thin, on target, over, target band."""
    drawing = Drawing(width, 12)
    x = 0.0
    for name in names:
        for shape in _swatch(x, name):
            drawing.add(shape)
        drawing.add(text(x + 17, 3, name))
        x += 17 + typeface.width(name, 7) + 14
    return drawing


def _swatch(x: float, name: str) -> Iterator[Any]:
    for fill in FILLS:
        if fill == name:
            yield from patterned(x, 2, 13, 7, fill)
            return
    yield Rect(x, 2, 13, 7, fillColor=BAND, strokeColor=black, strokeWidth=HAIR, strokeDashArray=(2, 1.5))


def shares(groups: Sequence[GroupScores], width: float) -> Drawing:
    """A stacked bar per group: thin, on target, over; its figures at the right."""
    row, label = 14.0, 108.0
    told = [_thin(group) for group in groups]
    figures = max(typeface.width(said, 7, typeface.BOLD) for said in told)
    drawing = Drawing(width, row * len(groups) + 10)
    room = width - label - figures - 8
    for place, group in enumerate(groups):
        y = drawing.height - row * (place + 1)
        whole = place == 0
        drawing.add(text(0, y + 3, _name(group.group, label - 6, whole), 7.5, bold=whole))
        x = label
        for fill, ewes in zip(FILLS, (group.thin, group.on_target, group.over), strict=True):
            part = room * ewes / group.ewes
            for shape in patterned(x, y + 1.5, part, 9, fill) if ewes else ():
                drawing.add(shape)
            x += part
        drawing.add(text(label + room + 8, y + 3, told[place], 7, bold=whole))
    for mark in (0.0, 0.5, 1.0):
        x = label + room * mark
        drawing.add(Line(x, 6, x, 9, strokeWidth=HAIR))
        drawing.add(text(x, 0, words.percent(mark), 6, anchor="middle"))
    return drawing


def _thin(group: GroupScores) -> str:
    return f"{group.thin:,} of {group.ewes:,} thin: {words.between(group.thin_low, group.thin_high)}"


def _name(group: str, room: float, whole: bool) -> str:
    return typeface.fitted(
        "All ewes" if whole else group, room, 7.5, typeface.BOLD if whole else typeface.REGULAR
    )


def axis(groups: Sequence[GroupScores]) -> tuple[float, float]:
    """The scores between which panels of these groups are drawn: all that were given, and the target band."""
    scores = [score for group in groups for score, _ in group.cells]
    low, high = (min([*scores, groups[0].low]), max([*scores, groups[0].high]))
    spare = max(0.0, _LEAST_SPAN - (high - low)) / 2
    return low - _EDGE - spare, high + _EDGE + spare


def distribution(
    group: GroupScores, width: float, height: float, tallest: int, between: tuple[float, float]
) -> Drawing:
    """Ewes at each score, with the target band; `tallest` is the count that fills the height, `between` the
    ends of the axis."""
    drawing = Drawing(width, height)
    base, top = 20.0, height - 22
    per_score = width / (between[1] - between[0])

    def at(score: float) -> float:
        return (score - between[0]) * per_score

    step = min((b - a for (a, _), (b, _) in zip(group.cells, group.cells[1:], strict=False)), default=0.5)
    bar = per_score * min(step, 0.5) * 0.78
    # a ewe at the very edge of the band is on target: the band takes in the whole of her bar
    _band(drawing, at(group.low) - bar / 2 - 2, at(group.high) + bar / 2 + 2, base, top)
    widest = max((typeface.width(f"{ewes:,}", _COUNT) for _, ewes in group.cells), default=0.0)
    upright = widest > per_score * step - 1  # side by side the counts would touch: they stand on end
    room = top - base - (widest + 3 if upright else 8)
    for score, ewes in group.cells:
        fill: Fill = "thin" if score < group.low else "over" if score > group.high else "on target"
        tall = room * ewes / tallest
        for shape in patterned(at(score) - bar / 2, base, bar, tall, fill) if ewes else ():
            drawing.add(shape)
        if ewes:
            drawing.add(_counted(at(score), base + tall + 1.5, ewes, upright))
    _score_axis(drawing, at, base, between)
    title = "All ewes" if group.group == "ALL" else group.group
    drawing.add(text(0, height - 8, typeface.fitted(title, width, 7.5, typeface.BOLD), 7.5, bold=True))
    share = words.percent(group.thin / group.ewes)
    drawing.add(text(0, height - 17, f"{group.ewes:,} scored, {share} thin", 6.5))
    return drawing


def _counted(x: float, y: float, ewes: int, upright: bool) -> Any:
    """The number above a bar, lying or standing on end."""
    if not upright:
        return text(x, y, f"{ewes:,}", _COUNT, anchor="middle")
    standing = Group(text(0, 0, f"{ewes:,}", _COUNT))
    standing.translate(x + _COUNT * 0.36, y)  # half the height of a digit
    standing.rotate(90)
    return standing


def _band(drawing: Drawing, left: float, right: float, base: float, top: float) -> None:
    drawing.add(Rect(left, base, right - left, top - base, fillColor=BAND, strokeColor=None))
    for x in (left, right):
        drawing.add(Line(x, base, x, top, strokeWidth=HAIR, strokeDashArray=(2, 1.5)))


def _score_axis(
    drawing: Drawing, at: Callable[[float], float], base: float, between: tuple[float, float]
) -> None:
    drawing.add(Line(at(between[0]), base, at(between[1]), base, strokeWidth=HAIR))
    for score in range(ceil(between[0]), floor(between[1]) + 1):
        drawing.add(Line(at(score), base, at(score), base - 2.5, strokeWidth=HAIR))
        drawing.add(text(at(score), base - 9, str(score), 6, anchor="middle"))
    drawing.add(text(at(sum(between) / 2), base - 18, "condition score", 5.5, anchor="middle"))


def projection(outlooks: Sequence[Outlook], width: float) -> Drawing:
    """Share inside the band when scored (ring) and expected on the day (dot, with its 90 % interval)."""
    row, label, figures, foot = 14.0, 118.0, 176.0, 26.0
    drawing = Drawing(width, row * len(outlooks) + foot)
    room = width - label - figures
    bottom, top = foot - 4, drawing.height
    for mark in range(0, 101, 25):
        x = label + room * mark / 100
        drawing.add(Line(x, bottom, x, top, strokeWidth=HAIR, strokeColor=SOLID))
        drawing.add(text(x, bottom - 9, words.percent(mark / 100), 6, anchor="middle"))
    for place, outlook in enumerate(outlooks):
        y = top - row * (place + 0.5)
        drawing.add(text(0, y - 2.5, _name(outlook.group, label - 8, outlook.group == "ALL"), 7.5,
                         bold=outlook.group == "ALL"))  # fmt: skip
        for shape in _whisker(outlook, label, room, y):
            drawing.add(shape)
        drawing.add(text(label + room + 12, y - 2.5, _likely(outlook), 7, bold=outlook.group == "ALL"))
    _projection_key(drawing, label)
    return drawing


def _likely(outlook: Outlook) -> str:
    if outlook.low is None or outlook.high is None:
        return "cannot be projected: see below"
    return f"{words.between(outlook.low, outlook.high)} likely ready"


def _whisker(outlook: Outlook, left: float, room: float, y: float) -> Iterator[Any]:
    if outlook.expected is None or outlook.low is None or outlook.high is None or outlook.now is None:
        return
    low, high = left + room * outlook.low, left + room * outlook.high
    yield Line(low, y, high, y, strokeWidth=1.6)
    for end in (low, high):
        yield Line(end, y - 3, end, y + 3, strokeWidth=1.0)
    yield Circle(left + room * outlook.now, y, 3.2, fillColor=white, strokeColor=black, strokeWidth=0.9)
    yield Circle(left + room * outlook.expected, y, 2.8, fillColor=black, strokeColor=black)


def _projection_key(drawing: Drawing, left: float) -> None:
    drawing.add(Circle(left + 3, 4, 3, fillColor=white, strokeColor=black, strokeWidth=0.9))
    drawing.add(text(left + 9, 1.5, "inside the band when scored", 6.5))
    x = left + 130
    drawing.add(Line(x - 8, 4, x + 8, 4, strokeWidth=1.6))
    drawing.add(Circle(x, 4, 2.8, fillColor=black, strokeColor=black))
    drawing.add(text(x + 13, 1.5, "expected on the day, 90 % interval", 6.5))


def timeline(deadlines: Sequence[Deadline], as_of: date, width: float) -> Drawing:
    """The dates up to rams in on one line of time, labels in staggered rows so that none touch."""
    marks = _marks(deadlines, as_of)
    first, days = marks[0][0], max(1, (marks[-1][0] - marks[0][0]).days)
    inset = 34.0
    placed = [(inset + (width - 2 * inset) * (day - first).days / days, day, said) for day, said in marks]
    wide = [max(typeface.width(said, 6.5, typeface.BOLD), 40.0) for _, said in marks]
    # words at an end of the line stay above it rather than centred on their mark
    middles = [min(max(x, each / 2), width - each / 2) for (x, _, _), each in zip(placed, wide, strict=True)]
    levels = _levels(list(zip(middles, wide, strict=True)))
    drawing = Drawing(width, 16 + 22 * (max(levels) + 1))
    drawing.add(Line(0, 8, width, 8, strokeWidth=1.4))
    for (x, _, _), level in zip(placed, levels, strict=True):
        drawing.add(Line(x, 8, x, 18 + 22 * level, strokeWidth=HAIR, strokeDashArray=(1, 1.2)))
    for (x, day, said), middle, level, each in zip(placed, middles, levels, wide, strict=True):
        y = 20 + 22 * level
        # white behind the words: the line of a higher mark may run through here
        drawing.add(Rect(middle - each / 2, y - 2, each, 17, fillColor=white, strokeColor=None))
        drawing.add(Circle(x, 8, 3, fillColor=white if day == as_of else black, strokeColor=black))
        drawing.add(text(middle, y + 8, said, 6.5, bold=True, anchor="middle"))
        drawing.add(text(middle, y, words.short_day(day), 6.5, anchor="middle"))
    return drawing


def _marks(deadlines: Sequence[Deadline], as_of: date) -> list[tuple[date, str]]:
    """Each day on the line with its words, in order; what falls on one day shares a label."""
    later = ("scanning", "lambing", "flush")
    dated = [
        (as_of, "data as of"),
        *((each.first, each.kind) for each in deadlines if each.kind not in later),
    ]
    return [
        (day, ", ".join(said for on, said in dated if on == day)) for day in sorted({on for on, _ in dated})
    ]


def _levels(labels: Sequence[tuple[float, float]]) -> list[int]:
    """The lowest row for each label (centre, width) in which it touches no earlier one."""
    ends: list[float] = []
    levels = []
    for centre, wide in labels:
        level = next((row for row, end in enumerate(ends) if centre - wide / 2 > end), len(ends))
        ends[level : level + 1] = [centre + wide / 2 + 6]
        levels.append(level)
    return levels
