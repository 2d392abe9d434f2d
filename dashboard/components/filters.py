"""Filters as a plain form: what is chosen goes into the link (assets/filters.js), which keeps the view."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Protocol

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import attributes

Choice = tuple[str, str]


class State(Protocol):
    """A page's state that says which part of a long list is shown."""

    @property
    def page(self) -> int:
        """Counts from 1."""

    def search(self, **changes: Any) -> str:
        """The query string with `changes` made."""


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


def number(name: str, label: str, value: float, limits: tuple[float, float], step: float) -> Component:
    """A box for a number from `limits`, in steps."""
    box = dcc.Input(
        name=name, type="number", value=value, min=limits[0], max=limits[1], step=step, debounce=True
    )
    return html.Label([html.Span(label), box], className="field")


def find(label: str, written: str | None) -> Component:
    """A box to find by part of a name."""
    box = dcc.Input(
        name="find", type="search", value=written or "", debounce=True, placeholder="Name or code"
    )
    return html.Label([html.Span(label), box], className="field")


def pages(path: str, state: State, found: int, rows: int) -> Component | None:
    """Where in a long list the page stands, and links to the pages around it; None when all is on one."""
    last = -(-found // rows)
    if last < 2:
        return None
    current = min(state.page, last)
    from_row = (current - 1) * rows + 1
    shown = html.Span(f"{from_row:,}–{min(current * rows, found):,} of {found:,}")
    near = sorted({1, *range(max(current - 1, 1), min(current + 1, last) + 1), last})
    ways: list[Component] = []
    for before, number in zip([0, *near], near, strict=False):
        if number > before + 1:
            ways.append(html.Li("…", className="gap"))
        ways.append(html.Li(_page(path, state, number, current)))
    return html.Nav([shown, html.Ul(ways)], className="pages", **attributes(aria_label="Pages of the list"))


def _page(path: str, state: State, number: int, current: int) -> Component:
    if number == current:
        return html.Span(f"{number:,}", **attributes(aria_current="page"))
    words = {current + 1: f"Show the next: {number:,}", current - 1: f"Back to {number:,}"}
    address = path + state.search(page=number)
    return dcc.Link(words.get(number, f"{number:,}"), href=address)
