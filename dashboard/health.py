"""`/health`: whether the tables can be read, for whoever watches over this machine. Tells no figures."""

from __future__ import annotations

import flask

from dashboard import data
from pipelines import queries
from pipelines.warehouse.errors import WarehouseError, WrongUseError

PATH = "/health"


def attach(server: flask.Flask) -> None:
    """Give `server` this address."""
    server.add_url_rule(PATH, "health", _health)


def _health() -> tuple[dict[str, object], int]:
    """`generation` and `as_of` of the published tables, null while nothing has been imported; 503 when they
    are there and cannot be read."""
    snapshot = data.snapshot()
    try:
        generation = snapshot.generation()
        as_of = queries.about(queries.Reader(snapshot)).as_of
    except WrongUseError:
        return {"status": "ok", "generation": None, "as_of": None}, 200
    except WarehouseError:
        return {"status": "tables cannot be read", "generation": None, "as_of": None}, 503
    return {"status": "ok", "generation": generation, "as_of": as_of.isoformat()}, 200
