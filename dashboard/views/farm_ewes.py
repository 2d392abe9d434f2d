"""The identified ewes that need something: those alike on one line, with their tags."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil
from typing import Any

import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboard.components import links, notice, words
from dashboard.components.attributes import attributes
from dashboard.components.picture import save_table
from dashboard.data import FarmPage
from dashboard.views.flocks import records
from dashboard.views.state import FarmState
from pipelines.readiness.decisions import THRESHOLDS

HEADINGS = {
    "group": "Group",
    "score": "Score",
    "action": "What to do",
    "ewes": "Ewes",
    "chance": "Chance as she is",
    "best": "On best grazing",
    "days": "Days needed",
    "reason": "Why",
}
ACTIONS = {
    "unlikely in time": "unlikely in time: examine, and decide on culling with the vet",
    "over": "over: hard going, slowly",
    "score again": "score again before deciding",
}


def section(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """The ewes below or above target when last scored."""
    if data.ewes.empty:
        return [
            notice.empty(
                "No ewes by name.",
                "Either none is out of condition, or the last session was counted without tags. Record the "
                "tag with each score to get a draw list.",
            )
        ]
    found, listed = int(data.ewes["found"].iloc[0]), len(data.ewes)
    told = f"{words.count(found, 'ewe')} out of condition when last scored; ewes alike share a line."
    if found > listed:
        told += f" Here are the {listed} thinnest; the saved table has them all."
    return [
        html.P(told),
        html.P(
            [
                "What to do follows from the better of the two chances: of being ready where she is, counted "
                "from the day she was scored, or on best grazing from today. Days needed are plain "
                "arithmetic from her score, at the usual rate on best grazing. ",
                html.Span(THRESHOLDS),
            ],
            className="meaning",
        ),
        _table(shown(data.ewes)),
        html.P(save_table(links.table("ewes", state.search(), code)), className="keep"),
    ]


def _table(rows: list[dict[str, Any]]) -> Component:
    """A plain table, which prints and can be read out; on a phone each ewe is a card."""
    head = html.Tr(
        [html.Th(text, scope="col", role="columnheader") for text in HEADINGS.values()], role="row"
    )
    body = [html.Tr([_cell(name, row[name]) for name in HEADINGS], role="row") for row in rows]
    return html.Table(
        [html.Thead(head, role="rowgroup"), html.Tbody(body, role="rowgroup")], className="ewes", role="table"
    )


def _cell(name: str, shown: Any) -> Component:
    if name == "group":
        return html.Th(shown, scope="row", role="rowheader", className="ewe-group")
    if name == "ewes":
        shown = [html.B(len(shown)), *_tags(shown)]
    return html.Td(shown, role="cell", className=f"ewe-{name}", **attributes(data_label=HEADINGS[name]))


def _tags(ewes: Sequence[str]) -> list[Component]:
    return [html.Span(ewe, className="tag") for ewe in ewes]


def shown(ewes: pd.DataFrame) -> list[dict[str, Any]]:
    """Rows as the table shows them: nothing blank, shares and days in words.

    What is to be done follows from group and score, so ewes of whom the same is said share a row, in the
    order of the first; `ewes` lists their tags.
    """
    alike: dict[tuple[str, ...], list[str]] = {}
    for row in records(ewes):
        alike.setdefault(tuple(_said(row).values()), []).append(words.text(row["ewe"]))
    names = [name for name in HEADINGS if name != "ewes"]
    return [dict(zip(names, said, strict=True)) | {"ewes": tags} for said, tags in alike.items()]


def _said(row: Mapping[str, Any]) -> dict[str, str]:
    return {
        "group": words.text(row["group"]),
        "score": f"{row['score']:g}",
        "action": _action(row),
        "chance": words.percent(row["chance_ready"]),
        "best": words.percent(row.get("chance_on_best")),
        "days": _days(row["days_needed"]),
        "reason": words.sentence(words.text(row["reason"])),
    }


def _action(row: Mapping[str, Any]) -> str:
    """The action with its day, and a mark on a ewe long thin."""
    action = str(row["action"])
    said = ACTIONS.get(action, words.text(row["action"]))
    if action == "rescore" and not words.missing(row.get("rescore_by")):
        said = f"rescore by {words.short_day(row['rescore_by'])}"
    thin = words.missing(row.get("long_thin")) or not row["long_thin"]
    return words.sentence(said) + ("" if thin else f" ▲ Thin {int(row['thin_sessions'])} sessions running.")


def _days(needed: float | None) -> str:
    if needed is None or words.missing(needed):
        return words.NO_FIGURE
    return words.count(ceil(needed), "day") if needed > 0 else "none"
