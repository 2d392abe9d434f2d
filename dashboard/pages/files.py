"""What was imported and refused, at `/files`."""

from typing import Any

import dash
from dash.development.base_component import Component

from dashboard import data
from dashboard.components.plain import drawn
from dashboard.intake import looking
from dashboard.views import day, files
from dashboard.views.state import FilesState

dash.register_page(  # type: ignore[no-untyped-call]
    __name__, path=files.PATH, name="Files", title="Files · Tupping readiness", order=2
)


def layout(**query: Any) -> Component:
    """The page that the link asks for."""
    state = FilesState.from_query(query)
    reader = data.reader()
    page = files.page(state, data.files(reader, state), looking.abilities())
    return drawn(day.told(data.other_day(reader), page))
