"""Reading the published tables while another process writes the next ones."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import duckdb

from pipelines.warehouse.errors import WarehouseError, nothing_imported
from pipelines.warehouse.places import Places
from pipelines.warehouse.pointer import current

_TRIES = 20
_PAUSE_SECONDS = 0.02


class Snapshot:
    """The current generation of `home`, for any number of threads; follows the pointer when it moves.

    Nothing that is asked of it can write, reach another file, or change its configuration.
    """

    def __init__(self, home: Path, memory_limit: str = "512MB") -> None:
        self._places = Places(home)
        self._memory_limit = memory_limit
        self._lock = threading.Lock()
        self._open: tuple[int, duckdb.DuckDBPyConnection] | None = None

    @contextmanager
    def cursor(self) -> Iterator[duckdb.DuckDBPyConnection]:
        """A cursor of its own on one generation: all that is asked of it comes from the same state.

        Raises `WrongUseError` when nothing has been published yet.
        """
        with self._lock:  # a connection that another thread replaces now could not give a cursor any more
            cursor = self._latest()[1].cursor()
        try:
            yield cursor
        finally:
            cursor.close()

    def generation(self) -> int:
        """Number of the generation that a cursor would read now."""
        with self._lock:
            return self._latest()[0]

    def close(self) -> None:
        """Let go of the file; cursors in use keep theirs until they are closed."""
        with self._lock:
            self._open = None

    def _latest(self) -> tuple[int, duckdb.DuckDBPyConnection]:
        for _ in range(_TRIES):
            number = self._current_number()
            if self._open and self._open[0] == number:
                return self._open
            try:
                connection = self._connect(number)
            except duckdb.IOException:
                # more generations than are kept were published since the pointer was read: look again
                time.sleep(_PAUSE_SECONDS)
                continue
            # The old connection is dropped, not closed: closing it would close the cursors in use with it.
            self._open = number, connection
            return self._open
        raise WarehouseError(
            f"{self._places.generation(number)} cannot be opened: "
            f"run tupping rebuild --home {self._places.home}"
        )

    def _current_number(self) -> int:
        pointer = current(self._places)
        if pointer is None:
            raise nothing_imported(self._places.home)
        return pointer.generation

    def _connect(self, number: int) -> duckdb.DuckDBPyConnection:
        return duckdb.connect(
            str(self._places.generation(number)),
            read_only=True,
            config={
                "enable_external_access": "false",
                "lock_configuration": "true",
                "memory_limit": self._memory_limit,
                # Each answer's thread works its own small queries out: to share them among threads costs
                # more than it gains, and makes every visitor wait where several ask at once.
                "threads": 1,
            },
        )
