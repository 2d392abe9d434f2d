"""Opening the warehouse for writing: locked, up to date, and closed whatever happens."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path

import duckdb

from pipelines.warehouse import archive
from pipelines.warehouse.errors import nothing_imported, plain_failures
from pipelines.warehouse.lock import DEFAULT_WAIT_SECONDS, writer_lock
from pipelines.warehouse.migrate import migrate, migrations
from pipelines.warehouse.places import Places

Connection = duckdb.DuckDBPyConnection

# Each thread needs memory of its own: so many at most, however many cores there are.
WRITER_THREADS = min(8, os.cpu_count() or 1)
# Enough for what is worked out at once of a practice of any size (`models.workshop`); working tables that are
# not in use meanwhile spill to the disk. More of it would only fill with what was read before: with 200 MB
# for two threads, 10,000 files took 78 MB more than 2,000; with 100 MB the tables took a tenth more time.
WRITER_MEMORY = f"{100 + 10 * WRITER_THREADS}MB"
# What stays of what was read, once room is made.
_KEPT_MEMORY = "4MB"


@dataclass(frozen=True, slots=True)
class Writer:
    """The open warehouse and where its files lie."""

    connection: Connection
    places: Places


@contextmanager
def open_writer(home: Path, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> Iterator[Writer]:
    """The one writer of `home`; creates and migrates the warehouse as needed.

    Raises `WarehouseBusyError` while another process writes, `WarehouseError` when the disk is full or `home`
    may not be written to.
    """
    places = Places(home)
    with plain_failures(home), writer_lock(places.lock, wait_seconds):
        for left_over in archive.unfinished(places.archive):
            left_over.unlink()
        with connected(places.warehouse) as connection:
            yield Writer(connection, places)


def require_data(places: Places) -> None:
    """Raise `WrongUseError` where nothing was ever imported: a folder that is mistyped must not be made."""
    if not (places.warehouse.exists() or places.archive.exists()):
        raise nothing_imported(places.home)


def open_existing(home: Path, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> AbstractContextManager[Writer]:
    """The one writer of a `home` that holds data; raises as `open_writer` and `require_data` do."""
    require_data(Places(home))
    return open_writer(home, wait_seconds)


@contextmanager
def connected(database: Path) -> Iterator[Connection]:
    """A migrated read-write connection. The caller holds the writer's lock."""
    # What a killed run had put out of memory: DuckDB leaves it lying.
    shutil.rmtree(database.with_name(f"{database.name}.tmp"), ignore_errors=True)
    connection = duckdb.connect(
        str(database), config={"memory_limit": WRITER_MEMORY, "threads": WRITER_THREADS}
    )
    try:
        migrate(connection, migrations())
        yield connection
    finally:
        connection.close()


def make_room(connection: Connection) -> None:
    """Let go of what was read from tables, which would grow with them; outside a transaction."""
    with suppress(duckdb.OutOfMemoryException):  # more is in use: nothing is let go then
        connection.execute(f"set memory_limit = '{_KEPT_MEMORY}'")
    connection.execute(f"set memory_limit = '{WRITER_MEMORY}'")


@contextmanager
def transaction(connection: Connection) -> Iterator[None]:
    """All that happens inside is kept, or none of it."""
    connection.begin()
    try:
        yield
    except BaseException:
        with suppress(duckdb.Error):  # after a full disk there is nothing left to roll back
            connection.rollback()
        raise
    connection.commit()
