"""The published tables, as the visitor now asking may see them."""

from __future__ import annotations

from datetime import date

import flask
import pandas as pd

from dashboard import access
from pipelines import queries
from pipelines.queries import About, Kept, Reader
from pipelines.settings import Settings
from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.snapshot import Snapshot

EXTENSION = "tupping"
KEPT = "tupping-cursors"
SETTINGS = "tupping-settings"
NOTHING = pd.DataFrame()


def attach(server: flask.Flask, settings: Settings) -> None:
    """Give `server` the published tables of the practice whose data lives in `settings.home`."""
    server.extensions[EXTENSION] = published = Snapshot(settings.home)
    server.extensions[KEPT] = Kept(published)
    server.extensions[SETTINGS] = settings
    server.teardown_appcontext(_let_go)


def snapshot() -> Snapshot:
    """The published tables of the server now asked."""
    found: Snapshot = flask.current_app.extensions[EXTENSION]
    return found


def settings() -> Settings:
    """The settings of the practice now asked."""
    found: Settings = flask.current_app.extensions[SETTINGS]
    return found


def reader() -> Reader:
    """The published tables as the visitor now asking may see them; one state for the whole answer."""
    if "reader" not in flask.g:
        flask.g.reader = Reader(snapshot(), access.scope(), flask.current_app.extensions[KEPT])
    found: Reader = flask.g.reader
    return found


def _let_go(_error: BaseException | None) -> None:
    if opened := flask.g.pop("reader", None):
        opened.close()


def about(reader: Reader) -> About | None:
    """None until something has been imported."""
    try:
        return queries.about(reader)
    except WrongUseError:
        return None


def other_day(reader: Reader) -> tuple[date, date] | None:
    """The day that the figures are worked out for and today, where that is another."""
    found, today = about(reader), settings().today()
    return None if found is None or found.as_of == today else (found.as_of, today)
