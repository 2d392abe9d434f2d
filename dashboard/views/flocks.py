"""All flocks: who needs attention, most urgent first, and whether a share thin is more than luck."""

from __future__ import annotations

from typing import Any

import pandas as pd
from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import card, filters, frame, links, notice, words
from dashboard.components.attributes import attributes
from dashboard.components.picture import picture, save_table
from dashboard.data import Flocks
from dashboard.figures.funnel import funnel
from dashboard.views.state import STATUSES, FlocksState
from pipelines.settings import STAGES, SYSTEMS

PATH = "/"
PAGE_ROWS = 50
STATUS_WORDS = {
    "act now": ("needs action now", "need action now"),
    "watch": ("to watch", "to watch"),
    "on course": ("on course", "on course"),
    "not scored": ("not scored yet", "not scored yet"),
    "tupping begun": ("past the rams going in", "past the rams going in"),
}


def page(state: FlocksState, data: Flocks | None) -> list[Component]:
    """The whole page for `state`; `data` is None until a farm is registered."""
    if data is None:
        return [html.H1("All flocks"), _nothing_yet()]
    rows = shown(state, data.calls)
    return [
        html.H1(f"All flocks, {data.season}"),
        headline(state, data.calls),
        _filters(state, data),
        html.Section([html.H2("Who needs you", className="unseen"), *_list(state, data, rows)]),
        html.Section([html.H2("Bad luck or too many thin?"), *_funnel(state, data)]),
        notice.caution(),
        frame.as_of(words.day(data.as_of)),
    ]


def shown(state: FlocksState, calls: pd.DataFrame) -> pd.DataFrame:
    """The rows of `calls` that pass the filters of `state`, order kept."""
    wanted = {
        "system": state.system,
        "stage": state.stage,
        "status": state.status,
        "discussion_group": state.group,
    }
    keep = pd.Series(True, index=calls.index)
    for column, value in wanted.items():
        if value is not None:
            keep &= (calls[column] == value).fillna(False)
    if state.find:
        text = calls["name"].fillna("") + " " + calls["farm"].fillna("")
        keep &= text.str.contains(state.find, case=False, regex=False)
    return calls[keep]


def headline(state: FlocksState, calls: pd.DataFrame) -> Component:
    """How many flocks stand where, in words, each count a link to its flocks."""
    counts = calls["status"].value_counts()
    parts: list[str | Component] = []
    for status in STATUSES:
        if number := int(counts.get(status, 0)):
            text: list[Any] = [html.Strong(str(number)), f" {STATUS_WORDS[status][number > 1]}"]
            current = attributes(aria_current="true") if state.status == status else {}
            link = dcc.Link(text, href=PATH + state.search(status=status, page=1), className="count")
            parts.append(html.Li(link, className=f"status-{status.replace(' ', '-')}", **current))
    return html.Div(
        [html.P(f"{words.count(len(calls), 'flock')}:", className="lead"), html.Ul(parts)],
        className="headline",
    )


def _filters(state: FlocksState, data: Flocks) -> Component:
    groups = sorted(data.calls["discussion_group"].dropna().unique())
    fields = [
        filters.choice("season", "Season", [(str(y), str(y)) for y in data.seasons], data.season, None),
        filters.choice("system", "System", [(s, s.capitalize()) for s in SYSTEMS], state.system, "All"),
        filters.choice("stage", "Last scored at", [(s, s.capitalize()) for s in STAGES], state.stage, "Any"),
        filters.choice("status", "Status", [(s, s.capitalize()) for s in STATUSES], state.status, "All"),
        filters.choice("group", "Discussion group", [(g, g) for g in groups], state.group, "All"),
        filters.find("Find a farm", state.find),
    ]
    return filters.form(PATH, fields, clear=state != FlocksState(season=state.season))


def _list(state: FlocksState, data: Flocks, rows: pd.DataFrame) -> list[Component]:
    if rows.empty:
        return [
            notice.empty(
                "No flock fits these filters.",
                "Take one away, or",
                PATH + FlocksState().search(),
                "see all flocks.",
            )
        ]
    first = (state.page - 1) * PAGE_ROWS
    setting = card.Setting(data.season, data.as_of, data.too_many, _bar_scale(data))
    cards = [card.call(row, setting) for row in records(rows.iloc[first : first + PAGE_ROWS])]
    last = -(-len(rows) // PAGE_ROWS)
    searches = [state.search(page=number) for number in range(1, last + 1)]
    ways = filters.pages(PATH, searches, state.page)
    return [
        html.P(
            "The bar shows the share thin and its range; the dashed line is "
            f"{words.percent(data.too_many)}, above which there are too many thin.",
            className="about",
        ),
        html.Ol(cards, id=ids.FLOCK_LIST, className="calls", start=str(first + 1)),
        *([ways] if ways else []),
        html.P(save_table(links.table("call-list", state.search())), className="keep"),
    ]


def _bar_scale(data: Flocks) -> float:
    """Share thin at the full width of the bars: the same for every flock and filter of a season."""
    widest = data.calls["thin_share_high"].max()
    return 0.3 if words.missing(widest) else max(0.3, float(widest) * 1.04)


def records(rows: pd.DataFrame) -> list[dict[str, Any]]:
    """Rows as dictionaries with text keys."""
    return [{str(name): value for name, value in row.items()} for row in rows.to_dict("records")]


def _funnel(state: FlocksState, data: Flocks) -> list[Component]:
    if data.points.empty:
        return [
            notice.empty(f"No flock was scored at {data.stage}.", "Choose another stage or season above.")
        ]
    kind = f"{state.system} flock" if state.system else "flock"
    about = (
        f"{words.count(len(data.points), kind)} scored at {data.stage}; "
        f"{words.percent(data.average)} of their ewes were thin."
    )
    drawn = funnel(data.points, data.limits, data.average, data.too_many)
    return [html.P(about), picture(ids.FUNNEL, drawn, links.table("funnel", state.search()))]


def _nothing_yet() -> Component:
    return html.Div(
        [
            notice.empty(
                "No flocks here yet.",
                "Import the farm register and the score files, then open this page again:",
            ),
            html.Pre("tupping import FOLDER"),
        ]
    )
