"""The list of identified ewes that need something, in AG Grid's community edition."""

from __future__ import annotations

from math import ceil
from typing import Any

import dash_ag_grid as dag
import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboard.components import links, notice, words
from dashboard.components.picture import save_table
from dashboard.data import FarmPage
from dashboard.views.flocks import records
from dashboard.views.state import FarmState

FEW = 12
WRAPPED = {"wrapText": True, "autoHeight": True}
COLUMNS: list[dict[str, Any]] = [
    {"field": "ewe", "headerName": "Ewe", "pinned": "left", "width": 190, "filter": True},
    {"field": "action", "headerName": "What to do", "minWidth": 170, "flex": 2, "filter": True, **WRAPPED},
    {"field": "score", "headerName": "Score", "width": 95},
    {"field": "group", "headerName": "Group", "width": 150, "filter": True},
    {"field": "chance", "headerName": "Chance ready", "width": 140},
    {"field": "days", "headerName": "Days needed", "width": 135},
    {"field": "reason", "headerName": "Why", "minWidth": 260, "flex": 3, **WRAPPED},
]


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
    rows = grid_rows(data.ewes)
    return [
        html.P(
            f"{words.count(len(rows), 'ewe')} out of condition when last scored. "
            "Tap a heading to sort or filter."
        ),
        dag.AgGrid(
            rowData=rows,
            columnDefs=COLUMNS,
            defaultColDef={"sortable": True, "resizable": True, "suppressMovable": True},
            dashGridOptions={"pagination": len(rows) > 50, "paginationPageSize": 50} | _height(len(rows)),
            className="ewes",
            style={"height": None if len(rows) <= FEW else 560},
        ),
        html.P(save_table(links.table("ewes", state.search(), code)), className="keep"),
    ]


def _height(rows: int) -> dict[str, Any]:
    """A short list stands open in full, a long one scrolls in its own box."""
    return {"enableCellTextSelection": True, "domLayout": "autoHeight" if rows <= FEW else "normal"}


def grid_rows(ewes: pd.DataFrame) -> list[dict[str, Any]]:
    """Rows as the grid shows them: nothing blank, shares and days in words."""
    return [
        {
            "ewe": words.text(row["ewe"]),
            "group": words.text(row["group"]),
            "score": float(row["score"]),
            "action": words.sentence(words.text(row["action"])),
            "chance": words.percent(row["chance_ready"]),
            "days": _days(row["days_needed"]),
            "reason": words.sentence(words.text(row["reason"])),
        }
        for row in records(ewes)
    ]


def _days(needed: float | None) -> str:
    if needed is None or words.missing(needed):
        return words.NO_FIGURE
    return words.count(ceil(needed), "day") if needed > 0 else "none"
