"""Numbered SQL files that bring an older warehouse up to date, each in one transaction with its record."""

from __future__ import annotations

from datetime import UTC, datetime
from importlib.resources import files

import duckdb

from pipelines.warehouse.errors import WarehouseError


def migrations() -> dict[int, str]:
    """SQL text by version, in order."""
    folder = files("pipelines.warehouse").joinpath("migrations")
    found = {
        int(item.name[:4]): item.read_text("utf-8") for item in folder.iterdir() if item.name[:4].isdigit()
    }
    return dict(sorted(found.items()))


def schema_version(connection: duckdb.DuckDBPyConnection) -> int:
    """Version of an opened warehouse; 0 when it is new."""
    connection.execute("create table if not exists schema_version (version integer, applied_at timestamp)")
    ((version,),) = connection.execute("select coalesce(max(version), 0) from schema_version").fetchall()
    return int(version)


def migrate(connection: duckdb.DuckDBPyConnection, steps: dict[int, str]) -> None:
    """Apply the steps that are missing.

    Raises `WarehouseError` when the warehouse was written by a newer program.
    """
    version = schema_version(connection)
    newest = max(steps)
    if version > newest:
        raise WarehouseError(
            f"this warehouse has version {version}, this program knows {newest}: install the newer program"
        )
    for step in range(version + 1, newest + 1):
        _apply(connection, step, steps[step])


def _apply(connection: duckdb.DuckDBPyConnection, version: int, sql: str) -> None:
    applied_at = datetime.now(UTC).replace(tzinfo=None)
    connection.begin()
    try:
        connection.execute(sql)
        connection.execute("insert into schema_version values (?, ?)", [version, applied_at])
    except BaseException:
        connection.rollback()
        raise
    connection.commit()
