"""Tables that are wider than a phone."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.attributes import attributes


def scrolling(label: str, head: Component, rows: Sequence[Component]) -> Component:
    """A table that can be moved sideways on a phone, by keyboard too."""
    return html.Div(
        html.Table([head, html.Tbody(list(rows))], className="figures"),
        className="scrolls",
        role="region",
        tabIndex=0,
        **attributes(aria_label=label),
    )
