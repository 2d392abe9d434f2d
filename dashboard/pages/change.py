"""Correcting or withdrawing a file that was imported, at `/change/<record>`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard.components.plain import drawn
from dashboard.intake import looking
from dashboard.views import change
from dashboard.views.change import ChangeState

dash.register_page(  # type: ignore[no-untyped-call]
    __name__,
    path_template="/change/<record>",
    name="Correct a file",
    title="Correct a file · Tupping readiness",
)


def layout(record: str = "", **query: Any) -> Component:
    """The page that the link asks for."""
    state = ChangeState.from_query(query)
    return drawn(change.page(state, looking.held(record, state.by)))
