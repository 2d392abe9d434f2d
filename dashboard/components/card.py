"""One flock of the call list: a row on a desk, a card on a phone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components import links, share, words

Row = Mapping[str, Any]


@dataclass(frozen=True, slots=True)
class Setting:
    """What all cards of a list share; `scale` is the share thin at a bar’s full width."""

    season: int
    as_of: date
    too_many: float
    scale: float


HEADINGS = ("Status", "Flock", "Why", "Share thin", "Time left")


def call_list(rows: Sequence[Row], setting: Setting, identity: str) -> Component:
    """call_list rows as a table; on a phone each row is a card."""
    head = html.Tr([html.Th(text, scope="col", role="columnheader") for text in HEADINGS], role="row")
    body = [_call(row, setting) for row in rows]
    return html.Table(
        [html.Thead(head, role="rowgroup"), html.Tbody(body, role="rowgroup")],
        id=identity,
        className="calls",
        role="table",  # said outright: browsers forget it of a table that is laid out as a grid
    )


def _call(row: Row, setting: Setting) -> Component:
    """Who, how urgent, why, the share thin, and how long is left."""
    status = words.text(row["status"])
    way = dcc.Link(words.text(row["name"], row["farm"]), href=links.farm(row["farm"], setting.season))
    return html.Tr(
        [
            html.Td(html.Span(status.capitalize(), className="status"), role="cell", className="standing"),
            html.Th(
                [html.H3(way), html.P(_about(row), className="about")],
                scope="row",
                role="rowheader",
                className="who",
            ),
            html.Td(words.sentence(words.text(row["reason"])), role="cell", className="reason"),
            html.Td(_thin(row, setting), role="cell", className="thin"),
            html.Td(_time(row, setting.as_of), role="cell", className="time"),
        ],
        role="row",
        className=f"call status-{status.replace(' ', '-')}",
    )


def _about(row: Row) -> str:
    parts = [] if words.missing(row["system"]) else [str(row["system"]).capitalize()]
    parts.append(
        "flock size not known" if words.missing(row["flock_ewes"]) else words.count(row["flock_ewes"], "ewe")
    )
    if not words.missing(row["discussion_group"]):
        parts.append(str(row["discussion_group"]))
    return " · ".join(parts)


def _thin(row: Row, setting: Setting) -> list[Component]:
    if words.missing(row["thin_share"]):
        if words.missing(row["ewes"]):
            return [html.P("No scores this season")]
        scored = f"{words.count(row['ewes'], 'ewe')} scored {words.short_day(row['scored_on'])}"
        return [html.P(f"{scored}, held against no band")]
    low, high = row["thin_share_low"], row["thin_share_high"]
    return [
        html.P([html.Strong(f"{words.percent(row['thin_share'])} thin"), f" {_of(row)}"]),
        share.interval_bar(row["thin_share"], low, high, setting.too_many, setting.scale),
    ]


def _of(row: Row) -> str:
    ends = share.ends(row["thin_share_low"], row["thin_share_high"])
    return words.unbroken(f"({ends}), {int(row['ewes']):,} scored {words.short_day(row['scored_on'])}")


def _time(row: Row, as_of: date) -> list[Component]:
    if words.missing(row["ready_by"]):
        return [html.Span("No date for the rams")]
    days = (words.as_date(row["ready_by"]) - as_of).days
    left = f" ({words.days_away(days)})" if days >= 0 else ""
    return [
        html.Span(f"Rams in {words.short_day(row['rams_in'])}"),
        html.Span(f"Ready by {words.short_day(row['ready_by'])}{left}"),
    ]
