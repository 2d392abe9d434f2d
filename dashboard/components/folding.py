"""Parts of a page that are folded on a phone, so that what matters in a yard is near, and open at a desk."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components import words
from dashboard.components.attributes import attributes

NAMED = 8  # names on a handle, above which the rest is counted


def folded(
    heading: Component, parts: Sequence[Component], *, handle_at_desk: bool = True, stands_open: bool = False
) -> Component:
    """`parts` under their `heading`, which opens and closes them; `folds.js` opens them on a wide screen.

    Without `handle_at_desk` the heading is not seen there while the fold is open. With `stands_open` a phone
    shows the parts at once, too.
    """
    # made anew, and so met anew by folds.js, when it is to stand open where it did not
    met_anew: dict[str, Any] = {"key": "open"} if stands_open else {}
    return html.Details(
        [html.Summary(heading), *parts],
        className="fold" if handle_at_desk else "fold phone-only",
        open=stands_open,
        **met_anew,
        **attributes(data_open_wide="yes"),
    )


def handle(said: str, names: Sequence[str]) -> Component:
    """What a fold of a list says: how many of what, and as many of their names as fit a glance."""
    shown = list(names[:NAMED])
    rest = [f"{len(names) - NAMED:,} more"] if len(names) > NAMED else []
    return html.Span([html.Strong(said), html.Span(f": {words.listed([*shown, *rest])}", className="named")])
