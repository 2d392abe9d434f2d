"""The brief's sections to read and to talk over, as flowing blocks; laid out by `pdf`."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from reportlab.graphics.shapes import Drawing, Line
from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, Spacer, Table, TableStyle

from dashboard.brief import drawing, typeface, words
from dashboard.brief.blocks import SIDE, heading, ruled, section, table
from dashboard.brief.content import Brief, Deadline
from dashboard.brief.typeface import labelled, paragraph, style


def first_page(brief: Brief, width: float) -> Iterator[Any]:
    """Whose brief it is; what has changed, who is thin, what must happen by when."""
    head = brief.masthead
    yield paragraph(f"Visit brief · season {head.season} · data as of {words.day(head.as_of)}", style(8))
    yield paragraph(words.cut(head.name, 80), style(22, typeface.BOLD, after=2, leading=1.2))
    yield paragraph(f"{words.cut(head.farm, 40)} · {words.cut(head.facts, 200)}", style(8, after=9))
    yield from ruled(width, 1.6)
    yield paragraph(brief.verdict, style(13, typeface.BOLD, after=10, leading=1.35))
    column = width - SIDE
    yield from section(
        "What has changed", width, [paragraph(said, style(9, after=5)) for said in brief.changed]
    )
    thin = [paragraph(brief.thin, style(9, after=6))]
    if brief.scores:
        thin += [drawing.shares(brief.scores, column), drawing.key(column, drawing.FILLS)]
    yield from section("Who is thin", width, thin)
    when = [drawing.timeline(brief.deadlines, head.as_of, column), Spacer(1, 5), _dates(brief, column)]
    yield from section("What must happen by when", width, when)


def _dates(brief: Brief, width: float) -> Table:
    body = style(8.5)
    lines = [
        [labelled(_when(each), _gone(each, brief), body), labelled(each.what, each.why, body)]
        for each in brief.deadlines
    ]
    return table(lines, [39 * mm, width - 39 * mm])


def _when(deadline: Deadline) -> str:
    first, last = deadline.first, deadline.last
    return words.day(first) if first == last else f"{words.short_day(first)[4:]} – {words.day(last)}"


def _gone(deadline: Deadline, brief: Brief) -> str:
    return "(past)" if deadline.last < brief.masthead.as_of else ""


def pictures(brief: Brief, width: float) -> Iterator[Any]:
    """Score distribution of each group with its target band, and the projection to `ready_by`."""
    if brief.scores:
        yield CondPageBreak(66 * mm)
        yield from heading("Scores of each group", width, f"Latest session: {brief.session}.")
        yield drawing.key(width, (*drawing.FILLS, "target band"))
        yield _panels(brief, width)
    if brief.outlooks and brief.ready_by:
        yield CondPageBreak(60 * mm)
        title = f"Projection to {words.day(brief.ready_by)}, when the ewes should be ready"
        yield from heading(title, width, "Share of each group inside the tupping band.")
        if any(outlook.expected is not None for outlook in brief.outlooks):
            yield drawing.projection(brief.outlooks, width)
            yield Spacer(1, 4)
        for outlook in brief.outlooks:
            if outlook.group == "ALL":
                yield labelled("All ewes:", outlook.words, style(8.5, after=2))
            elif outlook.expected is None:
                yield labelled(f"{words.cut(outlook.group, 40)}:", outlook.words, style(7.5, after=1))
        if brief.tried:
            yield Spacer(1, 3)
            yield labelled("Tried out:", brief.tried, style(8.5, after=2))


def _panels(brief: Brief, width: float) -> Table:
    """The panels in a grid; the whole session first, on its own scale, the groups on one shared scale."""
    wanted = brief.scores if len(brief.scores) != 2 else brief.scores[:1]  # one group is the whole session
    columns = min(4, len(wanted))
    gap, tall = 14.0, 120.0 if len(wanted) <= 4 else 88.0
    each = (width - gap * (columns - 1)) / columns
    whole, shared = (max((n for group in part for _, n in group.cells), default=1)
                     for part in (wanted[:1], wanted[1:]))  # fmt: skip
    between = drawing.axis(wanted)
    drawn = [drawing.distribution(group, each, tall, shared if place else whole, between)
             for place, group in enumerate(wanted)]  # fmt: skip
    lines = [drawn[at : at + columns] for at in range(0, len(drawn), columns)]
    lines[-1] += [""] * (columns - len(lines[-1]))
    grid = Table(lines, colWidths=[each + gap] * (columns - 1) + [each], hAlign="LEFT")
    grid.setStyle(TableStyle([
        ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 3), ("BOTTOMPADDING", (0, 0), (-1, -1), 5),
    ]))  # fmt: skip
    return grid


def talking(brief: Brief, width: float) -> Iterator[Any]:
    """Questions, space for notes, cautions, sources."""
    yield CondPageBreak(90 * mm)
    asked = [
        paragraph(f"{place}. {said}", style(8.5, after=3)) for place, said in enumerate(brief.questions, 1)
    ]
    yield from section("Questions to ask", width, asked)
    crowded = len(brief.scores) > 6 or len(brief.ewes) > 60
    yield from section("Notes", width, [_lines(width - SIDE, 9 if crowded else 18)])
    yield from section(
        "Cautions", width, [paragraph(f"– {said}", style(8, after=2)) for said in brief.cautions]
    )
    sources = [paragraph(said, style(7, after=2)) for said in brief.sources]
    sources.append(
        paragraph(f"Data as of {words.day(brief.masthead.as_of)}; scores: {brief.session}.", style(7))
    )
    yield from section("Sources", width, sources)


def _lines(width: float, count: int) -> Drawing:
    ruled = Drawing(width, 20.0 * count)
    for line in range(count):
        ruled.add(Line(0, 20.0 * line + 2, width, 20.0 * line + 2, strokeWidth=0.3))
    return ruled
