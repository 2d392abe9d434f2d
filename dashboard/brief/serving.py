"""The printed things at an address of their own, for the buttons of a farm's page.

Everything is read through the visitor's own scope: a farm that may not be seen is one that is not there.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

import flask

from dashboard import data
from dashboard.brief import calendar, compose, drawlist, gather, pdf, plan, sheets
from dashboard.brief.feed import USUAL_WEIGHT
from dashboard.brief.tables import BriefError, Tables
from pipelines.settings import Settings
from pipelines.warehouse.errors import WrongUseError

PDF, CSV, DATES, TEXT = "application/pdf", "text/csv", "text/calendar", "text/plain"
Content = tuple[bytes, str]


def blueprint(settings: Settings) -> flask.Blueprint:
    """`/print/FARM/NAME`, NAME being one of NAMES; `?season=` picks a season. Unknown farms answer 404."""
    pages = flask.Blueprint("print", __name__, url_prefix="/print")

    @pages.get("/<path:farm>/<name>")
    def printed(farm: str, name: str) -> flask.Response:
        return _answer(settings, farm, name)

    return pages


def _answer(settings: Settings, farm: str, name: str) -> flask.Response:
    if name not in NAMES:
        flask.abort(404)
    try:
        season = flask.request.args.get("season", type=int)
        content, kind = NAMES[name](gather.tables(data.reader(), settings, farm, season))
    except (BriefError, WrongUseError) as error:
        return flask.Response(str(error), status=404, content_type=f"{TEXT}; charset=utf-8")
    response = flask.Response(content, content_type=kind)
    response.headers["Content-Disposition"] = f'attachment; filename="{name}"'
    response.headers["Cache-Control"] = "no-store"  # the next import may change it
    return response


def _brief(tables: Tables) -> Content:
    return pdf.render(compose.compose(tables)), PDF


def _draw_list(tables: Tables) -> Content:
    return drawlist.spreadsheet(tables.farm, compose.ewes_to_draw(tables)), CSV


def _stick(tables: Tables) -> Content:
    return drawlist.stick_reader(compose.ewes_to_draw(tables)), TEXT


def _dates(tables: Tables) -> Content:
    farm = gather.farm_dates(tables)
    return calendar.render(f"Tupping: {farm.name}", [farm], tables.as_of), DATES


def _sheets(tables: Tables) -> Content:
    return sheets.render(gather.blank_sheets(tables, tables.as_of)), PDF


def _plan(tables: Tables) -> Content:
    return plan.render(tables, USUAL_WEIGHT), PDF


NAMES: Final[Mapping[str, Callable[[Tables], Content]]] = {
    "brief.pdf": _brief,
    "work-sheet.pdf": _plan,
    "recording-sheets.pdf": _sheets,
    "draw-list.csv": _draw_list,
    "stick-reader.txt": _stick,
    "dates.ics": _dates,
}
