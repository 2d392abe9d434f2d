"""What each page answers, at `/tour`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard.components.plain import drawn
from dashboard.views import tour

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path=tour.PATH, name="Tour", title="Tour · Tupping readiness"
)


def layout(**_query: Any) -> Component:
    """The tour."""
    return drawn(tour.page())
