"""Farms side by side, at `/compare`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard import data
from dashboard.components.plain import drawn
from dashboard.views import compare, day
from dashboard.views.state import CompareState

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path=compare.PATH, name="Compare", title="Compare · Tupping readiness", order=1
)


def layout(**query: Any) -> Component:
    """The page that the link asks for."""
    state = CompareState.from_query(query)
    reader = data.reader()
    return drawn(day.told(data.other_day(reader), compare.page(state, data.compare(reader, state))))
