"""The printed things at an address of their own, for the buttons of a farm's page.

Everything is read through the visitor's own scope: a farm that may not be seen is one that is not there.
"""

from __future__ import annotations

import csv
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import partial
from io import StringIO
from typing import Final

import flask

from dashboard import data
from dashboard.brief import calendar, compose, drawlist, gather, next_time, pdf, plan, sheets, what_if
from dashboard.brief.calendar import Edition
from dashboard.brief.choices import Choices
from dashboard.brief.tables import BriefError, Tables
from dashboard.views.state import FarmState
from pipelines import queries
from pipelines.settings import Settings
from pipelines.warehouse.errors import WrongUseError

PDF, CSV, DATES, TEXT = "application/pdf", "text/csv", "text/calendar", "text/plain"
Content = tuple[bytes, str]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is to be printed: a farm's tables, what the visitor chose, and tried out on the farm's page."""

    tables: Tables
    choices: Choices
    generation: int
    tried: Callable[[], str]


def blueprint(settings: Settings) -> flask.Blueprint:
    """`/print/FARM/NAME`, NAME being one of NAMES, and `/print/dates.ics` of the practice.

    `?season=` picks a season, the rest of `Choices` what the plan is for, and of `FarmState` what the brief
    is to say was tried out. Unknown farms answer 404.
    """
    pages = flask.Blueprint("print", __name__, url_prefix="/print")

    @pages.get("/<path:farm>/<name>")
    def printed(farm: str, name: str) -> flask.Response:
        return _farm(settings, farm, name)

    @pages.get("/dates.ics")
    def dates() -> flask.Response:
        return _practice(settings)

    return pages


def _farm(settings: Settings, farm: str, name: str) -> flask.Response:
    if name not in NAMES:
        flask.abort(404)
    query = flask.request.args.to_dict(flat=False)
    choices, state = Choices.from_query(query), FarmState.from_query(query)
    reader = data.reader()
    try:
        generation = reader.generation()  # asked for first: the tables may be newer than it, never older
        tables = gather.tables(reader, settings, farm, choices.season)
        tried = partial(_tried, reader, tables, state)
        content, kind = NAMES[name](Wanted(tables, choices, generation, tried))
    except (BriefError, WrongUseError) as error:
        return _not_there(error)
    return _kept(content, kind, name)


def _tried(reader: queries.Reader, tables: Tables, state: FarmState) -> str:
    """What the farm's page, opened with this link, tries out."""
    if not state.tries():
        return ""
    planned = queries.planned(reader, tables.register(), state.plan(), tables.readiness)
    return "" if planned is None else what_if.tried(tables, state.plan(), planned)


def _practice(settings: Settings) -> flask.Response:
    reader = data.reader()
    try:
        edition = Edition(queries.about(reader).as_of, reader.generation())
        farms = gather.practice_dates(reader, settings)
    except WrongUseError as error:
        return _not_there(error)
    return _kept(calendar.render("Tupping: all flocks", farms, edition), DATES, "dates.ics")


def _not_there(error: Exception) -> flask.Response:
    return flask.Response(str(error), status=404, content_type=f"{TEXT}; charset=utf-8")


def _kept(content: bytes, kind: str, name: str) -> flask.Response:
    response = flask.Response(content, content_type=kind)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Cache-Control"] = "no-store"  # the next import may change it
    return response


def _brief(wanted: Wanted) -> Content:
    return pdf.render(compose.compose(wanted.tables, wanted.tried())), PDF


def _draw_list(wanted: Wanted) -> Content:
    return drawlist.spreadsheet(wanted.tables.farm, compose.ewes_to_draw(wanted.tables)), CSV


def _stick(wanted: Wanted) -> Content:
    return drawlist.stick_reader(compose.ewes_to_draw(wanted.tables)), TEXT


def _dates(wanted: Wanted) -> Content:
    farm = gather.farm_dates(wanted.tables)
    edition = Edition(wanted.tables.as_of, wanted.generation)
    return calendar.render(f"Tupping: {farm.name}", [farm], edition), DATES


def _sheets(wanted: Wanted) -> Content:
    return sheets.render(gather.blank_sheets(wanted.tables, wanted.tables.as_of)), PDF


def _plan(wanted: Wanted) -> Content:
    return plan.render(wanted.tables, wanted.choices), PDF


def _precision(wanted: Wanted) -> Content:
    out = StringIO()
    lines = csv.writer(out)
    lines.writerow(("ewes_scored", "share_thin_within_points"))
    points = next_time.precision(wanted.tables, wanted.choices.flock)
    lines.writerows((scored, f"{half * 100:.2f}") for scored, half in points)
    return out.getvalue().encode(), CSV


NAMES: Final[Mapping[str, Callable[[Wanted], Content]]] = {
    "brief.pdf": _brief,
    "work-sheet.pdf": _plan,
    "recording-sheets.pdf": _sheets,
    "draw-list.csv": _draw_list,
    "stick-reader.txt": _stick,
    "dates.ics": _dates,
    "precision.csv": _precision,
}
