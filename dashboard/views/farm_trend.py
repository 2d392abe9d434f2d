"""A farm's own trend: the change from each season to the next, with its interval."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import pairwise
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components import comparing, words
from pipelines.statistics.trend import Shares, change_in_share

Row = Mapping[str, Any]


def changes(rows: Sequence[Row]) -> Component:
    """One sentence from each season to the next of `rows` (farm_trend rows, latest season first)."""
    if len(rows) < 2:
        return html.P("A change from season to season shows once one stage has been scored in two of them.")
    said = [_sentence(later, earlier) for later, earlier in pairwise(rows)]
    lead = f"Change at {rows[0]['stage']}, like with like (brackets: nine times out of ten):"
    return html.Div(
        [html.P(lead), html.Ul([html.Li(text) for text in said], className="plain-list")], className="trend"
    )


def _sentence(later: Row, earlier: Row) -> str:
    moved = change_in_share(_shares(earlier), _shares(later))
    value, low, high = (float(part[0]) for part in (moved.change, moved.low, moved.high))
    said = comparing.change(value, low, high)
    return f"From {earlier['season']} to {later['season']}, thin ewes: {said}."


def _shares(row: Row) -> Shares:
    flock = None if words.missing(row["flock_ewes"]) else [float(row["flock_ewes"])]
    return Shares([row["thin"]], [row["ewes"]], flock)
