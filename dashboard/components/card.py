"""One flock of the call list: a row on a desk, a card on a phone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any

from dash import html
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


def call(row: Row, setting: Setting) -> Component:
    """One call_list row: who, how urgent, why, the share thin, and how long is left."""
    status = words.text(row["status"])
    return html.Li(
        html.Article(
            [
                html.P(status.capitalize(), className="status"),
                html.Div(
                    [
                        html.H3(
                            html.A(
                                words.text(row["name"], row["farm"]),
                                href=links.farm(row["farm"], setting.season),
                            )
                        ),
                        html.P(_about(row), className="about"),
                    ],
                    className="who",
                ),
                html.P(words.sentence(words.text(row["reason"])), className="reason"),
                html.Div(_thin(row, setting), className="thin"),
                html.P(_time(row, setting.as_of), className="time"),
            ]
        ),
        className=f"call status-{status.replace(' ', '-')}",
    )


def _name(row: Row) -> str:
    return words.text(row["name"], row["farm"])


def _about(row: Row) -> str:
    parts = [words.text(row["system"]).capitalize(), words.count(row["flock_ewes"], "ewe")]
    if not words.missing(row["discussion_group"]):
        parts.append(str(row["discussion_group"]))
    return " · ".join(parts)


def _thin(row: Row, setting: Setting) -> list[Component]:
    if words.missing(row["thin_share"]):
        return [html.P("No scores this season")]
    low, high = row["thin_share_low"], row["thin_share_high"]
    return [
        html.P([html.Strong(f"{words.percent(row['thin_share'])} thin"), f" {_of(row)}"]),
        share.interval_bar(row["thin_share"], low, high, setting.too_many, setting.scale),
    ]


def _of(row: Row) -> str:
    ends = share.ends(row["thin_share_low"], row["thin_share_high"])
    return f"({ends}), {int(row['ewes']):,} scored {words.short_day(row['scored_on'])}"


def _time(row: Row, as_of: date) -> list[Component]:
    if words.missing(row["ready_by"]):
        return [html.Span("No date for the rams")]
    days = (words.as_date(row["ready_by"]) - as_of).days
    left = f" ({words.days_away(days)})" if days >= 0 else ""
    return [
        html.Span(f"Rams in {words.short_day(row['rams_in'])}"),
        html.Span(f"Ready by {words.short_day(row['ready_by'])}{left}"),
    ]
