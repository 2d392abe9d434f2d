"""What a corrected file changes, row by row: added, removed, changed."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components import words
from dashboard.views.offer_words import in_words
from pipelines.warehouse.difference import Change, Difference

SHOWN = 12


def changes(difference: Difference) -> list[Component]:
    """The three numbers, then the first rows of each."""
    counts = (
        ("added", len(difference.added)), ("removed", len(difference.removed)),
        ("changed", len(difference.changed)),
    )  # fmt: skip
    numbers = [
        html.Li([html.Strong(f"{number:,}"), f" {name}"], className=f"diff-{name}") for name, number in counts
    ]
    return [
        html.Ul(numbers, className="counts"),
        *_list("Changed", "changed", [_changed(change) for change in difference.changed]),
        *_list("Removed", "removed", [_row(row) for row in difference.removed]),
        *_list("Added", "added", [_row(row) for row in difference.added]),
    ]


def _list(title: str, kind: str, lines: Sequence[str]) -> list[Component]:
    if not lines:
        return []
    more = [html.Li(f"and {len(lines) - SHOWN:,} more")] if len(lines) > SHOWN else []
    items = [html.Li(line) for line in lines[:SHOWN]]
    return [html.H3(title), html.Ul([*items, *more], className=f"diff diff-{kind}")]


def _changed(change: Change) -> str:
    parts = (f"{in_words(name)} {_said(old)} → {_said(new)}" for name, (old, new) in change.values.items())
    return f"{_who(change.row)}: {', '.join(parts)}"


def _row(row: Mapping[str, Any]) -> str:
    if "rams_in" in row:
        return f"{_who(row)}: {words.count(row['ewes'], 'ewe')}, rams in {words.day(row['rams_in'])}"
    count = "" if row["ewe"] is not None else f", {words.count(row['count'], 'ewe')}"
    return f"{_who(row)}: score {row['score']:g}{count}"


def _who(row: Mapping[str, Any]) -> str:
    if "rams_in" in row:
        return f"{row['farm']}, season {row['season']}"
    who = f"ewe {row['ewe']}" if row["ewe"] is not None else f"score {row['score']:g}"
    return f"{row['farm']}, {words.day(row['scored_on'])}, {row['group']}, {who}"


def _said(value: Any) -> str:
    if value is None:
        return "nothing"
    if isinstance(value, date):
        return words.day(value)
    return f"{value:g}" if isinstance(value, float) else str(value)
