"""Where a file is dropped or chosen, and buttons that send what the page shows (assets/intake.js)."""

from __future__ import annotations

from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components.attributes import attributes

ENDINGS = ".csv,.tsv,.txt,.xlsx,.xls,.ods"


def place(words: str, search: str = "") -> Component:
    """Where a file is dropped; `search` goes along to the page of the file."""
    return html.Div(
        [
            html.P(
                [
                    html.Strong(words),
                    html.Span(" or "),
                    html.Button(
                        "choose it",
                        type="button",
                        className="quiet",
                        **attributes(data_choose=ENDINGS),
                    ),
                ]
            ),
            html.P(
                "You see what it holds before anything is imported. CSV, up to 8 MB; columns in any order.",
                className="about",
            ),
            html.P(className="trouble", role="alert", hidden=True),
        ],
        id=ids.DROP,
        className="drop",
        **attributes(data_drop="/intake/offer", data_search=search),
    )


def send(words: str, address: str, seen: int, kind: str = "", **parts: str) -> Component:
    """A button that sends to `address` what is confirmed with it: the state `seen`, and `parts`."""
    carried: dict[str, Any] = {
        f"data-with-{name}": value for name, value in {"seen": str(seen), **parts}.items()
    }
    carried["data-send"] = address
    return html.Button(words, type="button", className=f"act {kind}".strip(), **carried)


def trouble() -> Component:
    """Where what went wrong with sending is said; hidden until then."""
    return html.P(className="trouble", role="alert", hidden=True)
