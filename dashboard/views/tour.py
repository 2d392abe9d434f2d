"""The tour: what each page answers, for somebody who sees them for the first time."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components import notice

PATH = "/tour"
STOPS = (
    (
        "Who needs you?",
        "All flocks",
        "/",
        "Every client flock, most urgent first. The sentence says why: “41 of 180 thin; needs 56 days, 63 "
        "left” means that 41 ewes of 180 scored are below target, that the middle one of them needs 56 days "
        "on best grazing, and that 63 days are left. Tap a count above the list, or a filter, to see only "
        "those flocks.",
    ),
    (
        "Is it more than luck?",
        "All flocks, the picture below the list",
        "/",
        "Thirty ewes scored can look bad by chance. A flock above the upper line has more thin ewes than luck"
        " explains; between the lines, score more ewes before you say so.",
    ),
    (
        "Will they be ready, and which ewes need what?",
        "Tap a farm in the list",
        "/",
        "The share likely ready when the rams go in, group by group, with the range it lies in nine times out"
        " of ten; then the ewes by tag, with what to do for each. The bars show how the scores are spread: "
        "left of the pale band is thin.",
    ),
    (
        "How do farms stand side by side?",
        "Compare",
        "/compare",
        "Farms of one system at one stage. Where the bars of two farms overlap much, their order may be "
        "chance.",
    ),
    (
        "What was taken in, and what was not?",
        "Files",
        "/files",
        "Every file and every row that was refused, with its line and what to do. Correct the file and import"
        " it again: nothing counts twice.",
    ),
)
KEEPING = (
    "Filters are part of the address: send the link, and the other person sees the same view. Every list "
    "can be saved as a table and every picture as a picture. Every page prints."
)


def page() -> list[Component]:
    """The whole page."""
    stops = [
        html.Li([html.H2(question), html.P(text), html.P(dcc.Link(where, href=path))])
        for question, where, path, text in STOPS
    ]
    return [
        html.H1("A tour in five questions"),
        html.P(
            "Condition scores come in. Out comes which farms, and which ewes, need attention before the rams "
            "go in.",
            className="lead",
        ),
        html.Ol(stops, className="tour"),
        html.Section(html.P(KEEPING)),
        notice.caution(feeding=True),
    ]
