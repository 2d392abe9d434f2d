"""How to give a discussion group its comparison, at `/group`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard import access, data
from dashboard.components.plain import drawn
from dashboard.views import group
from dashboard.views.state import GroupState

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path=group.PATH, name="Discussion group", title="Discussion group · Tupping readiness", order=4
)


def layout(**query: Any) -> Component:
    """The page for the group that is chosen."""
    may = access.may("release")
    return drawn(group.page(data.groups(data.reader(), GroupState.from_query(query)) if may else None))
