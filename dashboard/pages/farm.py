"""One farm, at `/farm/<code>`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard import access, data
from dashboard.components.plain import drawn
from dashboard.views import day, farm
from dashboard.views.state import FarmState

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path_template="/farm/<code>", name="One farm", title="One farm · Tupping readiness"
)


def layout(code: str = "", **query: Any) -> Component:
    """The page that the link asks for."""
    state = FarmState.from_query(query)
    plain = farm.code_of(code)
    reader = data.reader()
    found = data.arrived(reader, plain, state)
    meant = [] if isinstance(found, data.FarmPage) else data.meant(reader, plain, found)
    return drawn(day.told(data.other_day(reader), farm.page(plain, state, found, access.may("retag"), meant)))
