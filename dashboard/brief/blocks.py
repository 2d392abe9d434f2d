"""What the sections are built of: rules, headings, tables, and the column of section names."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from reportlab.graphics.shapes import Drawing, Line
from reportlab.lib.colors import black
from reportlab.lib.units import mm
from reportlab.platypus import Indenter, KeepTogether, Spacer, Table, TableStyle

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
