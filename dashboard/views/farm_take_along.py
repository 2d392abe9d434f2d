"""What a farm's page gives to take along: things to print, lists, dates, and the page to score with."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components import links
from dashboard.data import FarmPage
from dashboard.views.flocks import records
from dashboard.views.state import FarmState

WHOLE = "ALL"
BRIEF = "brief.pdf"
PAPERS = (
    (BRIEF, "Visit brief (PDF)", "what has changed, who is thin, what must happen by when, what you try"),
    ("work-sheet.pdf", "Work sheet (PDF)", "how many to score, ewes to examine, feed for the gain"),
    ("recording-sheets.pdf", "Recording sheets (PDF)", "blank, for the race: by count and ewe by ewe"),
    ("draw-list.csv", "Draw list (CSV)", "ewes to draw by tag, safe to open in a spreadsheet"),
    ("stick-reader.txt", "Stick reader list", "the same ewes, one 15-digit number a line"),
    ("dates.ics", "Dates (calendar)", "import again and dates that have changed will move"),
)
BY_TAG = ("draw-list.csv", "stick-reader.txt")


def section(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """Buttons for everything printed, then the ways to plan the visit and to score at the race."""
    season = f"?season={data.season}"
    tried = {BRIEF: state.search(season=data.season)}  # the brief says what is tried out under What if
    papers = [paper for paper in PAPERS if paper[0] not in BY_TAG or not data.ewes.empty]
    parts: list[Component] = [
        html.Ul([_paper(code, tried.get(paper[0], season), *paper) for paper in papers], className="papers")
    ]
    if data.ewes.empty:
        parts.append(html.P("No ewe to draw was recorded by tag, so there is no draw list."))
    plan = dcc.Link("Plan the visit", href=links.visit(code, season), className="button strong")
    about = html.Span("How many to score, which thin ewes to examine, what to feed.")
    return [
        *parts,
        html.P([plan, " ", about]),
        html.P(["Score at the race, on a phone: ", *_scoring(code, data)], className="scoring"),
    ]


def _paper(code: str, season: str, name: str, label: str, about: str) -> Component:
    address = links.printed(name, season, code)
    return html.Li([html.A(label, href=address, download="", className="button"), html.Span(about)])


def _scoring(code: str, data: FarmPage) -> list[str | Component]:
    """A link to the entry page for each group of the latest session, or one for a flock never scored."""
    low = float(records(data.register)[0]["tupping_low"])
    ways = [html.A(group, href=links.entry(code, group, low)) for group in _groups(data)]
    if not ways:
        return [html.A("the whole flock", href=links.entry(code, low=low)), "."]
    parted: list[str | Component] = []
    for way in ways:
        parted += [way, " · "]
    return parted[:-1]


def _groups(data: FarmPage) -> list[str]:
    """Groups of the latest session before tupping, else of the latest of the season."""
    if not data.readiness.empty:
        found = data.readiness["group"]
    elif not data.sessions.empty:
        found = data.sessions.loc[data.sessions["scored_on"] == data.sessions["scored_on"].max(), "group"]
    else:
        return []
    return sorted({str(group) for group in found} - {WHOLE})
