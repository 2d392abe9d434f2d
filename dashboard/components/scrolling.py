"""Tables that are wider than a phone."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.attributes import attributes


def stacking(heads: Sequence[str], rows: Sequence[Sequence[str]]) -> Component:
    """A table whose rows a phone shows one below the other, each cell with its heading."""
    head = html.Thead(html.Tr([html.Th(name, scope="col") for name in heads]))
    body = [
        html.Tr(
            [
                html.Th(row[0], scope="row"),
                *(
                    html.Td(cell, **attributes(data_label=name))
                    for name, cell in zip(heads[1:], row[1:], strict=True)
                ),
            ]
        )
        for row in rows
    ]
    return html.Table([head, html.Tbody(body)], className="figures stacks")


def scrolling(label: str, head: Component, rows: Sequence[Component]) -> Component:
    """A table that can be moved sideways on a phone, by keyboard too."""
    return html.Div(
        html.Table([head, html.Tbody(list(rows))], className="figures"),
        className="scrolls",
        role="region",
        tabIndex=0,
        **attributes(aria_label=label),
    )
