"""All flocks: who needs attention, most urgent first, and whether a share thin is more than luck."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import card, filters, frame, links, notice, words
from dashboard.components.attributes import attributes
from dashboard.components.folding import folded
from dashboard.components.picture import picture, save_table
from dashboard.data import PAGE_ROWS, Flocks
from dashboard.figures.funnel import funnel
from dashboard.views.flocks_list import portions, status_words
from dashboard.views.state import STATUSES, FlocksState
from pipelines.queries import Overview
from pipelines.settings import STAGES, SYSTEMS

PATH = "/"
NAMED = 4  # flocks standing out, above which they are only counted


def page(state: FlocksState, data: Flocks | None) -> list[Component]:
    """The whole page for `state`; `data` is None until a farm is registered."""
    if data is None:
        return [html.H1("All flocks"), _nothing_yet()]
    return [
        html.H1(f"All flocks, {data.season}"),
        headline(state, data.overview),
        _filters(state, data),
        html.Section([html.H2("Who needs you", className="unseen"), *_list(state, data)]),
        html.Section([html.H2("Bad luck or too many thin?"), *_funnel(state, data)]),
        notice.caution(),
        frame.as_of(words.day(data.as_of)),
    ]


def headline(state: FlocksState, overview: Overview) -> Component:
    """How many flocks stand where, in words, each count a link to its flocks."""
    counts = overview.statuses
    parts: list[str | Component] = []
    for status in STATUSES:
        if number := counts.get(status, 0):
            text: list[Any] = [html.Strong(f"{number:,}"), f" {status_words(status, number)}"]
            current = attributes(aria_current="true") if state.status == status else {}
            link = dcc.Link(text, href=PATH + state.search(status=status, page=1), className="count")
            parts.append(html.Li(link, className=f"status-{status.replace(' ', '-')}", **current))
    return html.Div(
        [html.P(f"{words.count(sum(counts.values()), 'flock')}:", className="lead"), html.Ul(parts)],
        className="headline",
    )


def _filters(state: FlocksState, data: Flocks) -> Component:
    fields = [
        filters.choice("season", "Season", [(str(y), str(y)) for y in data.seasons], data.season, None),
        filters.choice("system", "System", [(s, s.capitalize()) for s in SYSTEMS], state.system, "All"),
        filters.choice("stage", "Last scored at", [(s, s.capitalize()) for s in STAGES], state.stage, "Any"),
        filters.choice("status", "Status", [(s, s.capitalize()) for s in STATUSES], state.status, "All"),
        filters.choice(
            "group", "Discussion group", [(g, g) for g in data.overview.groups], state.group, "All"
        ),
        filters.find("Find a farm", state.find),
    ]
    chosen = state != FlocksState(season=state.season)
    form = filters.form(PATH, fields, clear=chosen)
    return folded(html.Span("Choose flocks"), [form], handle_at_desk=False, stands_open=chosen)


def _list(state: FlocksState, data: Flocks) -> list[Component]:
    if data.calls.empty:
        return [
            notice.empty(
                "No flock fits these filters.",
                "Take one away, or",
                PATH + FlocksState().search(),
                "see all flocks.",
            )
        ]
    setting = card.Setting(data.season, data.as_of, data.too_many, _bar_scale(data))
    ways = filters.pages(PATH, state, data.found, PAGE_ROWS)
    return [
        html.P(
            "The bar shows the share thin and its range; the dashed line is "
            f"{words.percent(data.too_many)}, above which there are too many thin.",
            className="about",
        ),
        *portions(records(data.calls), setting, state),
        *([ways] if ways else []),
        html.P(
            [
                save_table(links.table("call-list", state.search())),
                html.A(
                    "Dates of all flocks (calendar)",
                    href=links.printed("dates.ics"),
                    download="",
                    className="quiet",
                ),
            ],
            className="keep",
        ),
    ]


def _bar_scale(data: Flocks) -> float:
    """Share thin at the full width of the bars: the same for every flock and filter of a season."""
    return max(0.3, (data.overview.widest or 0) * 1.04)


def records(rows: pd.DataFrame) -> list[dict[str, Any]]:
    """Rows as dictionaries; `DataFrame.to_dict` does the same some ten times slower."""
    names = [str(name) for name in rows.columns]
    columns = [rows[name].tolist() for name in rows.columns]
    return [dict(zip(names, row, strict=True)) for row in zip(*columns, strict=True)]


def _funnel(state: FlocksState, data: Flocks) -> list[Component]:
    if data.points.empty:
        return [
            notice.empty(f"No flock was scored at {data.stage}.", "Choose another stage or season above.")
        ]
    kind = f"{state.system} flock" if state.system else "flock"
    if len(data.points) == 1:
        return [
            html.P(
                f"1 {kind} scored at {data.stage}; {words.percent(data.average)} of its ewes were thin. "
                "Whether that is more than luck is seen once others are scored at the same stage."
            )
        ]
    about = (
        f"{words.count(len(data.points), kind)} scored at {data.stage}; "
        f"{words.percent(data.average)} of their ewes were thin."
    )
    drawn = funnel(data.points, data.limits, data.average, data.too_many)
    return [
        html.P(f"{about} {_stand_out(data)}"),
        folded(
            html.Span("The picture: share thin, against how many were scored"),
            [
                picture(ids.FUNNEL, drawn, links.table("funnel", state.search())),
                html.Details(
                    [html.Summary("How to read this"), *[html.P(text) for text in _method(state, data)]],
                    className="problems",
                ),
            ],
            handle_at_desk=False,
        ),
    ]


def _stand_out(data: Flocks) -> str:
    """The flocks that neither luck nor what usually parts flocks explains, by name where they are few."""
    line = data.limits["high_wide" if "high_wide" in data.limits else "high_998"]
    above = data.points["thin_share"] > np.interp(data.points["ewes"], data.limits["ewes"], line)
    names = data.points.loc[above].sort_values("thin_share", ascending=False)["name"].astype(str).tolist()
    beyond = "more thin ewes than luck and the usual differences between flocks explain"
    if not names:
        return f"None has {beyond}."
    said = words.listed(names) if len(names) <= NAMED else words.count(len(names), "flock")
    return f"{said} {'has' if len(names) == 1 else 'have'} {beyond}."


def _method(state: FlocksState, data: Flocks) -> list[str]:
    """How the lines and the grey area are drawn."""
    lines = (
        "The lines are exact: how often a flock with the average share would give so many thin by chance "
        "alone (95 and 99.8 times in a hundred inside)."
    )
    if data.apart is None:
        return [lines]
    if not data.apart.tau:
        return [lines, "These flocks differ no more than chance would make them."]
    mixed = "" if state.system else " Choose one system to compare like with like."
    return [
        lines,
        f"These flocks vary {data.apart.phi:.1f} times as much as chance alone would make them, the most "
        "extreme tenth at either end counted no further out than the rest, because grass, breed and people "
        "differ too. The grey area allows for that: 95 in a hundred flocks that differ as these do would lie "
        f"in it (Spiegelhalter 2005, doi:10.1002/sim.1970).{mixed}",
    ]


def _nothing_yet() -> Component:
    return notice.first_steps("No flocks here yet.")
