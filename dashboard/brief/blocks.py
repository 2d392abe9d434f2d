"""What the sections are built of: rules, headings, tables, and the column of section names."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Any

from reportlab.graphics import renderPDF
from reportlab.graphics.shapes import Drawing, Line
from reportlab.lib.colors import black
from reportlab.lib.units import mm
from reportlab.platypus import Flowable, Indenter, KeepTogether, Spacer, Table, TableStyle

from dashboard.brief import drawing, typeface
from dashboard.brief.typeface import paragraph, style

SIDE = 36 * mm  # the column of section names


def section(name: str, width: float, blocks: Iterable[Any]) -> Iterator[Any]:
    """A section with its name in the side column, ruled off from the one before."""
    blocks = list(blocks)
    side = Drawing(SIDE, 0)
    for place, line in enumerate(_broken(name)):
        side.add(drawing.text(0, -8 - 10.5 * place, line, 8.5, bold=True))
    yield KeepTogether(
        [*ruled(width, 0.5), side, Indenter(left=SIDE), *blocks, Indenter(left=-SIDE), Spacer(1, 7)]
    )


def _broken(name: str) -> list[str]:
    lines = [""]
    for word in name.split():
        if typeface.width(f"{lines[-1]} {word}", 8.5, typeface.BOLD) > SIDE - 8:
            lines.append("")
        lines[-1] = f"{lines[-1]} {word}".strip()
    return lines


def heading(name: str, width: float, said: str = "") -> Iterator[Any]:
    """A ruled-off heading over the full width, with a line of explanation where there is one."""
    yield Spacer(1, 8)
    yield from ruled(width, 0.5)
    yield paragraph(name, style(10, typeface.BOLD, after=2))
    if said:
        yield paragraph(said, style(8, after=4))


def ruled(width: float, thick: float) -> Iterator[Any]:
    """A line across the width."""
    rule = Drawing(width, 5)
    rule.add(Line(0, 4, width, 4, strokeWidth=thick))
    yield rule


def table(lines: list[list[Any]], widths: list[float], *, head: bool = False, tight: bool = False) -> Table:
    """Rows of cells ruled by hairlines; `head` repeats the first over pages, `tight` leaves out the lines."""
    made = Table(lines, colWidths=widths, repeatRows=int(head), hAlign="LEFT")
    pad = 0.6 if tight else 2.2
    looks: list[Any] = [
        ("VALIGN", (0, 0), (-1, -1), "TOP"),
        ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 4),
        ("TOPPADDING", (0, 0), (-1, -1), pad), ("BOTTOMPADDING", (0, 0), (-1, -1), pad),
    ]  # fmt: skip
    if not tight:
        looks.append(("LINEBELOW", (0, 0), (-1, -1), 0.25, black))
    if head:
        looks.append(("LINEBELOW", (0, 0), (-1, 0), 0.9, black))
    made.setStyle(TableStyle(looks))
    return made


class Stamp(Flowable):  # type: ignore[misc]
    """A drawing that many pages have in common: made and drawn once, then only referred to."""

    def __init__(self, name: str, width: float, height: float, make: Callable[[], Iterable[Drawing]]) -> None:
        super().__init__()
        self._name, self._make = name, make
        self.width, self.height = width, height

    def draw(self) -> None:
        """Refer to the form of this name, which the first page to need it defines."""
        canvas = self.canv
        if not canvas.hasForm(self._name):
            canvas.beginForm(self._name, 0, 0, self.width, self.height)
            y = self.height
            for part in self._make():  # one under another
                y -= part.height
                renderPDF.draw(part, canvas, 0, y)
            canvas.endForm()
        canvas.doForm(self._name)
