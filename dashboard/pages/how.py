"""How readiness is worked out, at `/how`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard.components.plain import drawn
from dashboard.views import how

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path=how.PATH, name="How", title="How readiness is worked out · Tupping readiness"
)


def layout(**_query: Any) -> Component:
    """The page; it is the same for every link."""
    return drawn(how.page())
