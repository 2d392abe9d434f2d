"""The frame around every page: skip link, name, ways through, the day that counts as today."""

from __future__ import annotations

from collections.abc import Iterable

import dash
from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.accounts.account import Account
from dashboard.components import links
from dashboard.components.attributes import attributes

WAYS = (("All flocks", "/"), ("Compare", "/compare"), ("Files", "/files"))


def frame(signed_in: Account | None = None) -> Component:
    """The layout that stays while pages come and go; `signed_in`: whose account it is, if any."""
    return html.Div(
        [
            html.A("Skip to the page", href=f"#{ids.MAIN}", className="skip"),
            html.Header(
                [
                    dcc.Link("Tupping readiness", href="/", className="name"),
                    html.Nav(
                        [dcc.Link(name, href=path) for name, path in WAYS], **attributes(aria_label="Pages")
                    ),
                    html.A(signed_in.name, href="/account", className="whose") if signed_in else None,
                ],
                className="top",
            ),
            html.P(
                [html.Span(), html.Button("Show them", type="button", className="quiet", hidden=True)],
                id=ids.NEWS,
                className="news",
                role="status",
                hidden=True,
            ),
            html.Main(dash.page_container, id=ids.MAIN, tabIndex=-1),
            html.Footer(dcc.Link("New here? Take the tour", href="/tour"), className="foot"),
        ],
        className="frame",
    )


def seasons(code: str, shown: int, years: Iterable[int]) -> Component:
    """The ways from a farm's page of one season to those of its other `years`, latest first."""
    ways = [
        html.Li(
            html.Span(str(year), **attributes(aria_current="page"))
            if year == shown
            else dcc.Link(str(year), href=links.farm(code, year))
        )
        for year in sorted(set(years), reverse=True)
    ]
    return html.Nav(
        [html.Span("Season"), html.Ul(ways)], className="pages", **attributes(aria_label="Seasons")
    )


def as_of(day: str) -> Component:
    """The foot of a page: which day its figures are for."""
    return html.Footer(
        html.P(
            [
                f"Worked out as of {day}. Brackets hold the range the true figure lies in nine times out of "
                "ten. ",
                dcc.Link("How readiness is worked out", href="/how"),
                " · ",
                dcc.Link("How well past projections came true", href="/backtest"),
            ]
        ),
        id=ids.AS_OF,
    )
