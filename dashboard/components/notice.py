"""What is said when there is nothing to show, and what must be said where a decision is suggested."""

from dash import dcc, html
from dash.development.base_component import Component

from pipelines.reference import cautions


def caution(feeding: bool = False) -> Component:
    """The standing caution; with `feeding` also what to mind when condition is to be changed."""
    text = " ".join(cautions("scores", *(("feeding", "health") if feeding else ())))
    return html.P([html.Strong("Before you act: "), text], className="caution", role="note")


def behind(as_of: str, today: str) -> Component:
    """That the figures are those of another day than today, while they are worked out anew."""
    said = f"These figures are as of {as_of}; those of today, {today}, are being worked out. "
    return html.P(
        [html.Strong("Not yet today’s figures: "), said, "They appear here as soon as they are ready."],
        className="caution",
        role="status",
    )


def empty(what: str, next_step: str, href: str | None = None, link: str = "") -> Component:
    """An empty place that says what is missing and what to do next."""
    step: list[str | Component] = [next_step]
    if href:
        step += [" ", dcc.Link(link, href=href)]
    return html.Div([html.P(html.Strong(what)), html.P(step)], className="empty")


def first_steps(what: str) -> Component:
    """What to do in a practice that has no data yet."""
    steps: list[list[str | Component]] = [
        [
            "Bring the farm register, then the score files (CSV), on ",
            dcc.Link("Files", href="/files"),
            ": you see what each holds before it is imported.",
        ],
        [
            "Or put them into one folder on the practice’s machine and run ",
            html.Code("tupping import FOLDER"),
            ": it names every row it could not take, and why.",
        ],
    ]
    return html.Div(
        [
            html.P(html.Strong(what)),
            html.Ol([html.Li(step) for step in steps], className="steps"),
            html.P(
                [
                    "To look around first, run ",
                    html.Code("tupping demo"),
                    ", which loads invented farms, or ",
                    dcc.Link("take the tour", href="/tour"),
                    ".",
                ]
            ),
        ],
        className="empty",
    )
