"""The comparison as one HTML file: style inside, no script, nothing from any other place."""

from __future__ import annotations

from html import escape
from importlib.resources import files

from dashboard.components import words
from dashboard.meeting import pictures
from dashboard.meeting.content import ABOUT, Meeting, Move, Session, weeks


def render(meeting: Meeting) -> str:
    """The whole document."""
    title = f"Our ewes side by side, {meeting.season}"
    body = "".join(
        [
            f"<h1>{title}</h1><p class=lead>{escape(meeting.lead)}</p>",
            _section("Three things to talk about", _points(meeting)),
            _section("Thin, on target, over", _KEY + "".join(_shares(*part) for part in meeting.classes())),
            _section("How the scores are spread", _spreads(meeting)),
            _section("Share on target, and weeks to rams in", _over_time(meeting)),
            _section("Change since the session before", _moves(meeting)),
            _section("What these letters hide", "".join(f"<p>{escape(said)}</p>" for said in ABOUT)),
            f"<footer><p>Comparison {escape(meeting.release)}</p></footer>",
        ]
    )
    return (
        '<!DOCTYPE html><html lang="en-GB"><head><meta charset="utf-8">'
        '<meta name="viewport" content="width=device-width, initial-scale=1">'
        f"<title>{title}</title><style>{style()}</style></head>"
        f'<body><div class="frame"><main class="meeting">{body}</main></div></body></html>'
    )


def style() -> str:
    """The dashboard's own look, and what only this page needs."""
    package = files("dashboard")
    looks = (package / "assets" / "tupping.css", package / "meeting" / "meeting.css")
    return "".join(look.read_text(encoding="utf-8") for look in looks)


_KEY = (
    '<p class="keys"><span class="key key-thin">Thin</span><span class="key key-on-target">On target</span>'
    '<span class="key key-over">Over</span></p>'
)


def _section(heading: str, inside: str) -> str:
    return f"<section><h2>{heading}</h2>{inside}</section>"


def _points(meeting: Meeting) -> str:
    items = []
    for said in meeting.points:
        what, _, rest = said.partition(": ")
        items.append(f"<li><strong>{escape(what)}:</strong> {escape(rest)}</li>")
    return f'<ol class="points">{"".join(items)}</ol>'


def _shares(said: str, sessions: list[Session]) -> str:
    what, _, rest = said.partition(": ")
    return (
        f'<h3>{escape(what)}</h3><p class="about">{escape(rest)}</p>'
        f'<table class="sides"><tbody>{"".join(map(_row, sessions))}</tbody></table>'
    )


def _row(at: Session) -> str:
    said = (
        f"{words.percent(at.thin)} thin, {words.percent(at.on_target)} on target, "
        f"{words.percent(at.over)} over; mean {at.mean:.1f}"
    )
    return (
        f'<tr><th scope="row">{escape(at.letter)}</th><td>{pictures.stacked(at)}</td>'
        f"<td>{escape(said)}</td></tr>"
    )


def _spreads(meeting: Meeting) -> str:
    tallest = max((share for of in meeting.spreads for *_, share in of.bins), default=1.0)
    drawn = "".join(pictures.spread(of, tallest) for of in meeting.spreads)
    meaning = (
        "One picture a flock, all on one scale: the higher a bar, the more of its ewes had that score "
        f"(1 to 5). The tallest bar is {words.percent(tallest)} of its flock."
    )
    return f'<p class="meaning">{meaning}</p><div class="spreads">{drawn}</div>'


def _over_time(meeting: Meeting) -> str:
    meaning = (
        "Higher is better; further right is closer to the rams. A line joins one flock’s sessions of this "
        "season. Letters at one mark have the same share. ▲ hill, ■ upland, ● lowland."
    )
    said = "; ".join(
        f"{at.letter} {words.percent(at.on_target)} on target {weeks(at.weeks_from, at.weeks_to)}"
        for at in meeting.this_season()
    )
    return (
        f'<div class="picture"><p class="meaning">{meaning}</p>{pictures.over_time(meeting.this_season())}'
        f'<p class="unseen">{escape(said)}</p></div>'
    )


def _moves(meeting: Meeting) -> str:
    if not meeting.moves:
        return (
            "<p>The change cannot be shown: not every flock behind these letters has an earlier session at "
            "a comparable stage.</p>"
        )
    rows = "".join(map(_move, meeting.moves))
    return (
        '<p class="meaning">Share of ewes on target. Ring: then. Dot: now. From 0 to 100 %.</p>'
        f'<table class="moves"><tbody>{rows}</tbody></table>'
    )


def _move(of: Move) -> str:
    then = "last season" if of.since == "last season" else f"at {of.since}"
    said = f"{words.percent(of.before)} {then}, {words.percent(of.now)} now"
    name = f'<th scope="row">{escape(of.letter)}</th>'
    return f"<tr>{name}<td>{pictures.move(of)}</td><td>{escape(said)}</td></tr>"
