"""Parts of a page that are folded on a phone, so that what matters in a yard is near, and open at a desk."""

from __future__ import annotations

from collections.abc import Sequence

from dash import html
from dash.development.base_component import Component

from dashboard.components.attributes import attributes


def folded(heading: Component, parts: Sequence[Component]) -> Component:
    """`parts` under their `heading`, which opens and closes them; `folds.js` opens them on a wide screen."""
    return html.Details([html.Summary(heading), *parts], className="fold", **attributes(data_open_wide="yes"))
