"""How well scorers agree, at `/scorers`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard import data
from dashboard.components.plain import drawn
from dashboard.views import scorers

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path=scorers.PATH, name="Scorers", title="Scorers · Tupping readiness", order=3
)


def layout(**_query: Any) -> Component:
    """The page, which has no filters."""
    return drawn(scorers.page(data.scorers(data.reader())))
