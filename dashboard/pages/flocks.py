"""All flocks, at `/`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard import data
from dashboard.components.plain import drawn
from dashboard.views import day, flocks
from dashboard.views.state import FlocksState

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path=flocks.PATH, name="All flocks", title="All flocks · Tupping readiness", order=0
)


def layout(**query: Any) -> Component:
    """The page that the link asks for."""
    state = FlocksState.from_query(query)
    reader = data.reader()
    return drawn(day.told(data.other_day(reader), flocks.page(state, data.flocks(reader, state))))
