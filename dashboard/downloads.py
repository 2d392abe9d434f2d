"""Tables to keep: what a picture or list shows, as CSV, read through the visitor's own scope."""

from __future__ import annotations

from collections.abc import Callable
from functools import partial
from typing import Any, Final

import flask
import pandas as pd

from dashboard import data
from dashboard.spreadsheet import as_text, printed_tag
from dashboard.views import (
    compare,
    farm_best_grazing,
    farm_last_dates,
    farm_readiness,
    farm_scores,
    farm_what_if,
)
from dashboard.views.state import CompareState, FarmState, FilesState, FlocksState
from pipelines import queries
from pipelines.queries import Reader

Query = dict[str, Any]


def _call_list(reader: Reader, query: Query) -> pd.DataFrame:
    state = FlocksState.from_query(query)
    season = state.season or queries.current_season(reader)
    return data.NOTHING if season is None else queries.call_list(reader, season, data.chosen(state))


def _funnel(reader: Reader, query: Query) -> pd.DataFrame:
    page = data.flocks(reader, FlocksState.from_query(query))
    return data.NOTHING if page is None else page.points


def _compare_shares(reader: Reader, query: Query) -> pd.DataFrame:
    shown = data.compare(reader, CompareState.from_query(query))
    return data.NOTHING if shown is None else compare.share_rows(shown.sessions)


def _compare_standing(reader: Reader, query: Query) -> pd.DataFrame:
    shown = data.compare(reader, CompareState.from_query(query))
    return data.NOTHING if shown is None else shown.sessions.sort_values(["rank", "farm"])


def _compare_scores(reader: Reader, query: Query) -> pd.DataFrame:
    shown = data.compare(reader, CompareState.from_query(query))
    return (
        data.NOTHING
        if shown is None
        else compare.score_rows(shown.scores, compare.share_rows(shown.sessions))
    )


def _scorers(reader: Reader, _query: Query) -> pd.DataFrame:
    return queries.every_scorer_pair(reader)


def _files(reader: Reader, query: Query) -> pd.DataFrame:
    state = FilesState.from_query(query)
    return queries.file_list(reader, state.status, state.find)


def _problems(reader: Reader, _query: Query) -> pd.DataFrame:
    return queries.problems(reader)


def _every_ewe(page: data.FarmPage) -> pd.DataFrame:
    """Every ewe out of condition; the page shows the thinnest."""
    return queries.farm_ewes(data.reader(), str(page.register["farm"].iloc[0]), page.season)


PRACTICE: Final[dict[str, Callable[[Reader, Query], pd.DataFrame]]] = {
    "call-list": _call_list,
    "funnel": _funnel,
    "compare-shares": _compare_shares,
    "compare-standing": _compare_standing,
    "scorers": _scorers,
    "compare-scores": _compare_scores,
    "files": _files,
    "problems": _problems,
    "backtest": lambda reader, _query: data.past(reader).rows,
}
FARM: Final[dict[str, Callable[[data.FarmPage], pd.DataFrame]]] = {
    "readiness": lambda page: farm_readiness.shown(page.readiness),
    "scores": lambda page: farm_scores.labelled(page.scores, page.sessions),
    "shares": lambda page: page.sessions,
    "seasons": lambda page: page.past,
    "ewes": _every_ewe,
    "what-if": farm_what_if.table,
    "best-grazing": farm_best_grazing.table,
    "last-dates": farm_last_dates.table,
}
DRAWN_ONLY = ["label", "share", "low", "high"]


def attach(server: flask.Flask) -> None:
    """Give `server` the addresses where tables are kept."""
    server.add_url_rule("/save/<table>.csv", "save_practice", _save_practice)
    server.add_url_rule("/save/<table>/<path:code>.csv", "save_farm", _save_farm)


def plain(column: str, cell: object) -> object:
    """A cell that a spreadsheet leaves as it is; `column` names what it holds."""
    if not isinstance(cell, str):
        return cell
    return printed_tag(cell) if column == "ewe" else as_text(column, cell)


def _save_practice(table: str) -> flask.Response:
    if table not in PRACTICE:
        flask.abort(404)
    return saved(PRACTICE[table](data.reader(), flask.request.args.to_dict()), table)


def _save_farm(table: str, code: str) -> flask.Response:
    page = data.farm(data.reader(), code, FarmState.from_query(flask.request.args.to_dict()))
    if table not in FARM or page is None:
        flask.abort(404)
    return saved(FARM[table](page), table)


def saved(frame: pd.DataFrame, name: str) -> flask.Response:
    """A table as a CSV that a spreadsheet can open without changing a tag, a name or a group."""
    shown = frame.drop(columns=DRAWN_ONLY, errors="ignore")
    kept = pd.DataFrame({name: cells.map(partial(plain, str(name))) for name, cells in shown.items()})
    response = flask.Response(kept.to_csv(index=False), mimetype="text/csv")
    response.headers["Content-Disposition"] = f'attachment; filename="{name}.csv"'
    return response
