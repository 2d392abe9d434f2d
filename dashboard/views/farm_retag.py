"""A small form on the farm's page: a ewe has a new tag, and her scores stay together."""

from __future__ import annotations

from urllib.parse import quote

from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import dropping
from dashboard.components.attributes import attributes
from dashboard.components.folding import folded

FIELDS = (("old", "Tag she had"), ("new", "Tag she has now"))


def section(code: str) -> Component:
    """Both tags, as printed or as read, and a button."""
    fields = [
        html.Label(
            [html.Span(words), dcc.Input(name=name, type="text", maxLength=40, autoComplete="off")],
            className="field",
        )
        for name, words in FIELDS
    ]
    button = html.Button("Record it", type="submit", className="act lesser")
    parts: list[Component] = [
        html.P("Her scores under both tags then count as one ewe’s.", className="about"),
        html.Form(
            [*fields, button],
            className="filters",
            **attributes(data_send_form=f"/intake/retag/{quote(code, safe='')}", aria_label="New tag"),
        ),
        html.P(className="mind", role="status", hidden=True),
        dropping.trouble(),
    ]
    return html.Section(folded(html.H2("A ewe has a new tag"), parts), id=ids.RETAG)
