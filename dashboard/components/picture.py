"""A picture with its title, the sentence saying what it means, and ways to keep it."""

from __future__ import annotations

from typing import Any

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components.attributes import attributes
from dashboard.figures.sketch import Sketch

CONFIG: Any = {"displayModeBar": False, "responsive": True, "scrollZoom": False, "doubleClick": False}


def picture(identity: str, figure: Sketch, table_href: str) -> Component:
    """`figure` as the page shows it; `table_href` is where its table (CSV) is kept."""
    meta = figure.layout["meta"]
    return html.Figure(
        [
            html.Figcaption([html.H3(meta["title"]), html.P(meta["meaning"], className="meaning")]),
            html.Div(
                dcc.Graph(
                    figure=figure.plain(),
                    config=CONFIG,
                    responsive=True,
                    style={"height": figure.layout["height"]},
                ),
                role="img",
                **attributes(aria_label=f"{meta['title']}. {meta['meaning']}"),
            ),
            html.P(
                [
                    html.Button(
                        "Save as picture",
                        type="button",
                        className="quiet",
                        **attributes(data_save_picture=identity),
                    ),
                    save_table(table_href),
                ],
                className="keep",
            ),
        ],
        id=identity,
        className="picture",
    )


def save_table(href: str) -> Component:
    """The link that keeps a table as CSV."""
    return html.A("Save as table (CSV)", href=href, download="", className="quiet")
