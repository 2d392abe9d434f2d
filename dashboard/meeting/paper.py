"""The comparison printed for the meeting, and each member's own card; equal releases give equal bytes."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from reportlab.lib.units import mm
from reportlab.platypus import CondPageBreak, KeepTogether, Spacer, Table, TableStyle

from dashboard.brief import drawing, typeface, words
from dashboard.brief.blocks import heading, ruled
from dashboard.brief.pdf import WIDTH, document, footer
from dashboard.brief.typeface import labelled, paragraph, style
from dashboard.meeting import ink
from dashboard.meeting.content import ABOUT, Meeting, Session, weeks


def render(meeting: Meeting) -> bytes:
    """The comparison as a PDF of A4 pages."""
    title = _title(meeting)
    story = [*_opening(meeting, title), *_pictures(meeting), *_about()]
    return document(title, story, footer(f"{title} · comparison {meeting.release}"))


def card(meeting: Meeting, letter: str, name: str) -> bytes:
    """The card that tells the farm `name` its own letter."""
    own = next(at for at in meeting.latest if at.letter == letter)
    story = [
        paragraph(f"{_title(meeting)} · comparison {meeting.release}", style(8, after=16)),
        paragraph(f"For {words.cut(name, 80)} alone", style(15, typeface.BOLD, after=10)),
        *ruled(WIDTH, 1.6),
        paragraph("In this comparison your flock is", style(12, after=6)),
        paragraph(letter, style(110, typeface.BOLD, after=6, leading=1.15)),
        paragraph(_own_figures(own), style(11, after=14)),
        *ruled(WIDTH, 0.5),
        paragraph(
            "Keep this card to yourself. The others see your letter’s figures, rounded, but not that they "
            "are yours. If you tell your letter, the rest of the group is a little less hidden too: so ask "
            "before you compare cards. The next comparison draws new letters.",
            style(9.5, after=8),
        ),
    ]
    return document(f"Your letter, {meeting.season}", story, footer("Private: for one farm alone"))


def _title(meeting: Meeting) -> str:
    return f"Our ewes side by side, {meeting.season}"


def _own_figures(own: Session) -> str:
    return (
        f"At {own.stage}, {weeks(own.weeks_from, own.weeks_to)}: about {words.percent(own.thin)} of the ewes "
        f"scored were thin, {words.percent(own.on_target)} on target and {words.percent(own.over)} over; "
        f"mean score {own.mean:.1f}."
    )


def _opening(meeting: Meeting, title: str) -> Iterator[Any]:
    yield paragraph(title, style(22, typeface.BOLD, after=3, leading=1.2))
    yield paragraph(meeting.lead, style(9.5, after=8))
    yield from ruled(WIDTH, 1.6)
    yield paragraph("Three things to talk about", style(13, typeface.BOLD, after=5))
    for place, said in enumerate(meeting.points, 1):
        what, _, rest = said.partition(": ")
        yield labelled(f"{place}. {what}:", rest, style(10, after=5))


def _pictures(meeting: Meeting) -> Iterator[Any]:
    yield from heading("Thin, on target, over", WIDTH)
    yield drawing.key(WIDTH, drawing.FILLS)
    for said, sessions in meeting.classes():
        what, _, rest = said.partition(": ")
        yield KeepTogether([labelled(what, rest, style(8, after=2)), ink.shares(sessions, WIDTH)])
    yield CondPageBreak(60 * mm)
    yield from heading(
        "How the scores are spread", WIDTH, "Share of each flock’s ewes at each score (1 to 5)."
    )
    yield _spreads(meeting)
    yield CondPageBreak(95 * mm)
    said = "Higher is better. A line joins one flock’s sessions; all of this season."
    yield from heading("Share on target, and weeks to rams in", WIDTH, said)
    yield ink.over_time(meeting.this_season(), WIDTH, 72 * mm)
    if meeting.moves:
        yield KeepTogether(
            [
                *heading("Change since the session before", WIDTH, "Share on target. Ring: then. Dot: now."),
                ink.moves(meeting.moves, WIDTH),
            ]
        )


def _spreads(meeting: Meeting) -> Table:
    tallest = max((share for of in meeting.spreads for *_, share in of.bins), default=1.0)
    columns, gap = 4, 14.0
    each = (WIDTH - gap * (columns - 1)) / columns
    drawn: list[Any] = [ink.spread(of, each, 70, tallest) for of in meeting.spreads]
    drawn += [""] * (-len(drawn) % columns)
    lines = [drawn[at : at + columns] for at in range(0, len(drawn), columns)]
    grid = Table(lines, colWidths=[each + gap] * (columns - 1) + [each], hAlign="LEFT")
    grid.setStyle(TableStyle([
        ("LEFTPADDING", (0, 0), (-1, -1), 0), ("RIGHTPADDING", (0, 0), (-1, -1), 0),
        ("TOPPADDING", (0, 0), (-1, -1), 2), ("BOTTOMPADDING", (0, 0), (-1, -1), 4),
    ]))  # fmt: skip
    return grid


def _about() -> Iterator[Any]:
    yield Spacer(1, 6)
    block = [
        *heading("What these letters hide", WIDTH),
        *(paragraph(said, style(8, after=3)) for said in ABOUT),
    ]
    yield KeepTogether(block)
