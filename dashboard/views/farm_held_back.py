"""What has come of a farm but cannot be judged: why, what to do, and the scores as they were recorded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components import frame, links, notice, words
from dashboard.components.scrolling import scrolling
from dashboard.data import HeldBack
from dashboard.views.flocks import records
from pipelines.models.urgency import UNJUDGED
from pipelines.queries.held_back import because

AS_RECORDED = (
    "The scores as they were recorded. They are held against no band, as the stage, the system or the season "
    "that the band depends on is not known."
)


def page(data: HeldBack, meant: Sequence[tuple[str, str]] = ()) -> list[Component]:
    """The whole page of a farm that the register does not have in this season.

    `meant`: code and name of farms that its code may stand for.
    """
    status = html.Span(UNJUDGED.capitalize(), className="status")
    return [
        dcc.Link("← All flocks", href=f"/?season={data.season}", className="back"),
        html.H1(data.name),
        html.P(f"Not in the register of {data.season} · code {data.code}", className="about"),
        html.P(
            [status, " ", words.sentence(because(records(data.reasons)[0]))],
            className=f"verdict status-{UNJUDGED.replace(' ', '-')}",
        ),
        *([_meant(meant)] if meant else []),
        frame.seasons(data.code, data.season, data.years),
        html.Section([html.H2("Will they be ready?"), *_reasons(data)]),
        html.Section([html.H2("What has come"), *_arrived(data)]),
        notice.caution(),
        frame.as_of(words.day(data.as_of)),
    ]


def _meant(farms: Sequence[tuple[str, str]]) -> Component:
    ways = [html.Li(dcc.Link(f"{name} ({farm})", href=links.farm(farm))) for farm, name in farms]
    return html.Div([html.P("Did you mean one of these?"), html.Ul(ways, className="plain-list")])


def section(data: HeldBack) -> Component:
    """The part of the page of a registered farm that tells what waits."""
    return html.Section([html.H2("What cannot be judged yet"), *_reasons(data), *_arrived(data)])


def _reasons(data: HeldBack) -> list[Component]:
    return [
        notice.empty(
            words.sentence(f"cannot be projected because {because(row)}"),
            words.sentence(str(row["remedy"])),
            "/files",
            "See the files.",
        )
        for row in records(data.reasons)
    ]


def _arrived(data: HeldBack) -> list[Component]:
    """One table for each day of scoring, latest first."""
    if data.scores.empty:
        return [html.P(f"No scores have come of {data.season}.")]
    days: dict[Any, list[Mapping[str, Any]]] = {}
    for row in records(data.scores):
        days.setdefault(row["scored_on"], []).append(row)
    return [html.P(AS_RECORDED, className="meaning"), *(_day(day, rows) for day, rows in days.items())]


def _day(day: Any, rows: list[Mapping[str, Any]]) -> Component:
    ewes = words.count(sum(int(row["ewes"]) for row in rows), "ewe")
    title = f"{words.day(day)}, {ewes}"
    return html.Div([html.H3(title), _table(title, rows)])


def _table(title: str, rows: list[Mapping[str, Any]]) -> Component:
    """Ewes at each score, one row a group."""
    scores = sorted({float(row["score"]) for row in rows})
    groups: dict[str, dict[float, int]] = {}
    for row in rows:
        groups.setdefault(str(row["group"]), {})[float(row["score"])] = int(row["ewes"])
    heads = ["Group", "Ewes", *(f"{score:g}" for score in scores)]
    body = [
        html.Tr(
            [
                html.Th(group, scope="row"),
                html.Td(f"{sum(found.values()):,}"),
                *(html.Td(f"{found.get(score, 0):,}") for score in scores),
            ]
        )
        for group, found in groups.items()
    ]
    head = html.Thead(html.Tr([html.Th(text, scope="col") for text in heads]))
    return scrolling(f"Ewes at each score, {title}", head, body)
