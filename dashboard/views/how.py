"""How readiness is worked out: the words and sources of the model itself."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components import notice, words
from pipelines.readiness import explained
from pipelines.readiness.decisions import THRESHOLDS

PATH = "/how"
KNOWN = (
    "Each source says how its figure is known: published (read in that source), quoted (read in the press, "
    "which quotes it), common practice (no single source), derived (arithmetic on the others), or from "
    "memory (not checked against the source)."
)


def page() -> list[Component]:
    """The whole page."""
    return [
        html.H1(explained.TITLE),
        html.P(KNOWN, className="lead"),
        *[_section(section) for section in explained.sections()],
        html.Section(
            [html.H2("What a ewe’s action rests on"), html.P(words.sentence(THRESHOLDS))], className="prose"
        ),
        html.P(dcc.Link("How well past projections came true", href="/backtest")),
        notice.caution(feeding=True),
    ]


def _section(section: explained.Section) -> Component:
    parts: list[Component] = [
        html.H2(section.heading),
        *[html.P(words.sentence(text)) for text in section.paragraphs],
    ]
    if section.sources:
        sources = [
            html.Li([f"{source.text} ", html.Span(source.how_known, className="how-known")])
            for source in section.sources
        ]
        parts.append(html.Details([html.Summary("Sources"), html.Ul(sources)], className="problems sources"))
    return html.Section(parts, className="prose")
