"""What is said when there is nothing to show, and what must be said where a decision is suggested."""

from dash import dcc, html
from dash.development.base_component import Component

CAUTION = (
    "Scores describe, they do not diagnose. Disease testing, treatment, supplementing and culling are "
    "decided with the flock’s own vet."
)
FEEDING_CAUTION = (
    "Change feed gradually and do not starve fat ewes. Sheep are easily poisoned by copper: test before "
    "supplementing. Follow the welfare code and medicine rules where the flock is kept."
)


def caution(feeding: bool = False) -> Component:
    """The standing caution; with `feeding` also what to mind when condition is to be changed."""
    text = f"{CAUTION} {FEEDING_CAUTION}" if feeding else CAUTION
    return html.P([html.Strong("Before you act: "), text], className="caution", role="note")


def empty(what: str, next_step: str, href: str | None = None, link: str = "") -> Component:
    """An empty place that says what is missing and what to do next."""
    step: list[str | Component] = [next_step]
    if href:
        step += [" ", dcc.Link(link, href=href)]
    return html.Div([html.P(html.Strong(what)), html.P(step)], className="empty")
