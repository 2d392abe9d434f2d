"""Filters as a plain form: what is chosen goes into the link (assets/filters.js), which keeps the view."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import attributes

Choice = tuple[str, str]


def form(action: str, fields: Sequence[Component], clear: bool) -> Component:
    """A form that reloads the page's view when something in it changes; `clear` offers the usual view."""
    ending = [dcc.Link("Clear filters", href=action, className="clear")] if clear else []
    return html.Form(
        [*fields, *ending],
        action=action,
        method="get",
        className="filters",
        role="search",
        **attributes(data_filters="", aria_label="Filters"),
    )


def choice(name: str, label: str, choices: Sequence[Choice], chosen: Any, every: str | None) -> Component:
    """A list to choose from; `every` is the words for no choice made, None where one must be made."""
    options = [("", every), *choices] if every is not None else list(choices)
    written = "" if chosen is None else str(chosen)
    return html.Label(
        [
            html.Span(label),
            html.Select(
                [
                    html.Option(text, value=value, selected="selected" if value == written else None)
                    for value, text in options
                ],
                name=name,
                key=f"{name}-{written}",
            ),
        ],
        className="field",
    )


def find(label: str, written: str | None) -> Component:
    """A box to find by part of a name."""
    box = dcc.Input(
        name="find", type="search", value=written or "", debounce=True, placeholder="Name or code"
    )
    return html.Label([html.Span(label), box], className="field")


def pages(path: str, searches: Sequence[str], current: int) -> Component | None:
    """Links to the pages of a long list; `searches` holds one query string per page."""
    if len(searches) < 2:
        return None
    ways = [
        html.Li(
            html.Span(str(number), **attributes(aria_current="page"))
            if number == current
            else dcc.Link(str(number), href=path + search)
        )
        for number, search in enumerate(searches, start=1)
    ]
    return html.Nav(html.Ul(ways), className="pages", **attributes(aria_label="Pages of the list"))
