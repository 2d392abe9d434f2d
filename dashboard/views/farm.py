"""One farm: will the ewes be ready, group by group, and which ewes need what."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import unquote

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import frame, links, notice, words
from dashboard.components.attributes import attributes
from dashboard.components.folding import folded
from dashboard.data import FarmPage, HeldBack
from dashboard.views import (
    farm_best_grazing,
    farm_ewes,
    farm_held_back,
    farm_last_dates,
    farm_readiness,
    farm_retag,
    farm_scores,
    farm_take_along,
    farm_what_if,
)
from dashboard.views.flocks import records
from dashboard.views.state import FarmState


def code_of(address: str) -> str:
    """The farm's code in the last part of an address, where special characters are written as `%2F`."""
    return unquote(address)


def _none(code: str, meant: Sequence[tuple[str, str]]) -> list[Component]:
    said = f"There is no farm “{code}” here."
    if not meant:
        return [html.H1("No such farm"), notice.empty(said, "Check the code, or", "/", "see all flocks.")]
    ways = [html.Li(dcc.Link(f"{name} ({farm})", href=links.farm(farm))) for farm, name in meant]
    return [
        html.H1("No such farm"),
        notice.empty(said, "Did you mean one of these? Or", "/", "see all flocks."),
        html.Ul(ways, className="plain-list"),
    ]


def page(
    code: str,
    state: FarmState,
    data: FarmPage | HeldBack | None,
    may_retag: bool = False,
    meant: Sequence[tuple[str, str]] = (),
) -> list[Component]:
    """The whole page of the farm `code`; `data` is None when nothing of it has come that may be seen.

    `meant`: code and name of the farms that such a code may stand for.
    """
    if data is None:
        return _none(code, meant)
    if isinstance(data, HeldBack):
        return farm_held_back.page(data, meant)
    return [
        dcc.Link("← All flocks", href=f"/?season={data.season}", className="back"),
        *_heading(data),
        _seasons(code, data),
        _on_this_page(data, may_retag),
        html.Section([html.H2(_question(data)), *farm_readiness.section(code, state, data)]),
        *([farm_held_back.section(data.held)] if data.held else []),
        *(_of_the_ewes(code, state, data) if len(data.sessions) else []),
        html.Section(
            [html.H2("Take to the farm"), *farm_take_along.section(code, state, data)], id=ids.TAKE_ALONG
        ),
        *_of_the_plan(code, state, data),
        *(_of_the_scores(code, state, data) if len(data.sessions) else []),
        html.Section(folded(html.H2("Past seasons"), farm_scores.past(code, state, data)), id=ids.SEASONS),
        *([farm_retag.section(code)] if may_retag and len(data.ewes) else []),
        notice.caution(feeding=True),
        frame.as_of(words.day(data.as_of)),
    ]


def _on_this_page(data: FarmPage, may_retag: bool) -> Component:
    """The ways down a long page."""
    scored, planned = len(data.sessions) > 0, data.planned is not None
    parts = (
        ("Which ewes", ids.EWES, scored),
        ("Take to the farm", ids.TAKE_ALONG, True),
        ("What if", ids.WHAT_IF, planned),
        ("Best grazing", ids.BEST_PLACES, planned),
        ("How long", ids.LAST_DAYS, planned),
        ("Thin or over", ids.SHARES, scored),
        ("Past seasons", ids.SEASONS, True),
        ("New tag", ids.RETAG, may_retag and len(data.ewes) > 0),
    )
    ways = [html.Li(html.A(name, href=f"#{part}")) for name, part, there in parts if there]
    return html.Nav(html.Ul(ways), className="on-this-page", **attributes(aria_label="On this page"))


def _question(data: FarmPage) -> str:
    rams_in = records(data.register)[0]["rams_in"]
    past = not words.missing(rams_in) and words.as_date(rams_in) < data.as_of
    return "How ready were they?" if past else "Will they be ready?"


def _of_the_plan(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """The sections that only a season with a session to project from has."""
    if data.planned is None:
        return []
    return [
        html.Section([html.H2("What if"), *farm_what_if.section(code, state, data)], id=ids.WHAT_IF),
        html.Section(
            [html.H2("Where the best grazing does most good"), *farm_best_grazing.section(code, state, data)],
            id=ids.BEST_PLACES,
        ),
        html.Section(
            [html.H2("How long there is"), *farm_last_dates.section(code, state, data)], id=ids.LAST_DAYS
        ),
    ]


def _of_the_ewes(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    return [html.Section([html.H2("Which ewes"), *farm_ewes.section(code, state, data)], id=ids.EWES)]


def _of_the_scores(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """The sections that only a season with scores has."""
    return [
        html.Section(
            [html.H2("Thin, on target, over"), *farm_scores.shares(code, state, data)], id=ids.SHARES
        ),
        html.Section(folded(html.H2("How the scores are spread"), farm_scores.spread(code, state, data))),
    ]


def _heading(data: FarmPage) -> list[Component]:
    season = records(data.register)[0]
    about = [
        words.text(season["system"]).capitalize(),
        words.count(season["ewes"], "ewe"),
        f"code {season['farm']}",
    ]
    known = (season[column] for column in ("breed", "region", "discussion_group"))
    about += [str(value) for value in known if not words.missing(value)]
    lines: list[Component] = [
        html.H1(words.text(season["name"], season["farm"])),
        html.P(" · ".join(about), className="about"),
    ]
    if not data.calls.empty:
        call = records(data.calls)[0]
        status = str(call["status"])
        lines.append(
            html.P(
                [
                    html.Span(status.capitalize(), className="status"),
                    " ",
                    words.sentence(words.text(call["reason"])),
                ],
                className=f"verdict status-{status.replace(' ', '-')}",
            )
        )
    return [*lines, html.Dl(_dates(data), className="dates")]


def _dates(data: FarmPage) -> list[Component]:
    season = records(data.register)[0]
    pairs = (("Weaned", "weaned_on"), ("Ready by", "ready_by"), ("Rams in", "rams_in"))
    return [html.Div([html.Dt(name), html.Dd(_dated(season[column], data))]) for name, column in pairs]


def _dated(value: object, data: FarmPage) -> str:
    if words.missing(value):
        return words.NO_FIGURE
    days = (words.as_date(value) - data.as_of).days
    return words.day(value) + (f" ({words.days_away(days)})" if days >= 0 else "")


def _seasons(code: str, data: FarmPage) -> Component:
    waiting = data.held.years if data.held else ()
    return frame.seasons(
        code, data.season, [data.season, *waiting, *(int(year) for year in data.past["season"])]
    )
