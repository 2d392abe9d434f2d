"""The plan of a visit to one farm, at `/visit/<code>`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard import data
from dashboard.brief.choices import Choices
from dashboard.components.plain import drawn
from dashboard.views import farm, visit

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path_template="/visit/<code>", name="Plan the visit", title="Plan the visit · Tupping readiness"
)


def layout(code: str = "", **query: Any) -> Component:
    """The page that the link asks for."""
    choices = Choices.from_query(query)
    plain = farm.code_of(code)
    return drawn(visit.page(plain, choices, data.visit(data.reader(), plain, choices.season)))
