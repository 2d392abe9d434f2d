"""A file that was brought, before it is imported and with its report after, at `/offer/<token>`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard.components.plain import drawn
from dashboard.intake import looking
from dashboard.views import offer
from dashboard.views.offer_state import OfferState

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path_template="/offer/<token>", name="One file", title="One file · Tupping readiness"
)


def layout(token: str = "", **query: Any) -> Component:
    """The page that the link asks for."""
    state = OfferState.from_query(query)
    return drawn(offer.page(token, state, looking.page(token, state)))
