"""What an address that leads nowhere shows."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard.components.plain import drawn
from dashboard.views import missing

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, title="Not found · Tupping readiness"
)


def layout(**_query: Any) -> Component:
    """The page for every address that is not one of ours."""
    return drawn(missing.page())
