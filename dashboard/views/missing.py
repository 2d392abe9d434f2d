"""The page for an address that leads nowhere."""

from dash import html
from dash.development.base_component import Component

from dashboard.components import notice


def page() -> list[Component]:
    """Says so, and where to go on."""
    return [
        html.H1("Nothing at this address"),
        notice.empty("The link may be old or cut short.", "Go to", "/", "all flocks."),
    ]
