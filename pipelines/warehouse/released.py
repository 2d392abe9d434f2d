"""The file of an anonymised comparison: a database that holds a release and nothing else.

Equal releases give equal bytes but for the random number that DuckDB gives every database it makes.
"""

from __future__ import annotations

from pathlib import Path
from typing import Any

import duckdb
import pandas as pd

from pipelines.release.build import Release
from pipelines.release.shape import COLUMNS, check
from pipelines.warehouse.durable import flush
from pipelines.warehouse.errors import WarehouseError, plain_failures

_TYPES = {"letter": "varchar", "system": "varchar", "flock_size": "varchar", "stage": "varchar"}
_WHOLE = ("seasons_ago", "weeks_from", "weeks_to", "ewes_at_least")
_SMALL_BLOCKS = 16_384  # bytes: the file is some 60 kB instead of 1.5 MB


def write_release(path: Path, release: Release) -> None:
    """Write `release` into a new file. Raises `WarehouseError` when the disk will not have it."""
    with plain_failures(path.parent), duckdb.connect() as connection:
        connection.execute(f"attach $path as released (block_size {_SMALL_BLOCKS})", {"path": str(path)})
        connection.execute("create table released.about (release varchar, season integer)")
        connection.execute("insert into released.about values (?, ?)", [release.release, release.season])
        for table in COLUMNS:
            _write_table(connection, table, getattr(release, table))
        connection.execute("checkpoint released")
        connection.execute("detach released")
    flush(path)


def _write_table(connection: duckdb.DuckDBPyConnection, table: str, frame: pd.DataFrame) -> None:
    """Names and types are our own, never a value from outside."""
    columns = ", ".join(f"{name} {_type(name)}" for name in COLUMNS[table])
    connection.execute(f"create table released.{table} ({columns})")
    connection.register("rows_to_write", frame[list(COLUMNS[table])])
    connection.execute(f"insert into released.{table} select * from rows_to_write")  # noqa: S608
    connection.unregister("rows_to_write")


def _type(column: str) -> str:
    return _TYPES.get(column, "integer" if column in _WHOLE else "double")


def read_release(path: Path) -> Release:
    """The release in a file, which may come from anybody: nothing in it is run, and its content is checked.

    Raises `WarehouseError` naming the file when it holds no release.
    """
    if not path.is_file():
        raise WarehouseError(f"{path}: there is no such file; name the .duckdb file of a release")
    try:
        with duckdb.connect(str(path), read_only=True, config=_fenced()) as connection:
            ((name, season),) = connection.execute("select release, season from about").fetchall()
            tables = {table: _read_table(connection, table) for table in COLUMNS}
        return check(Release(str(name), int(season), **tables))
    except (duckdb.Error, ValueError, TypeError) as error:
        raise WarehouseError(f"{path}: this is not a release made by tupping release ({error})") from error


def _fenced() -> dict[str, Any]:
    return {"enable_external_access": "false", "lock_configuration": "true", "memory_limit": "256MB"}


def _read_table(connection: duckdb.DuckDBPyConnection, table: str) -> pd.DataFrame:
    columns = ", ".join(COLUMNS[table])
    query = f"select {columns} from {table} order by all"  # noqa: S608
    found: pd.DataFrame = connection.execute(query).df()
    return found
