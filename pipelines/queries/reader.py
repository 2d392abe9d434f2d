"""A view of the published tables in which only the permitted farms exist."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from contextlib import AbstractContextManager, ExitStack, contextmanager
from typing import Any, Protocol

import pandas as pd

from pipelines.models import TABLES

# Names put into this are those of published tables and of the database itself, never a client's text.
PERMITTED = "create temp table permitted as select unnest($farms::varchar[]) as farm"
SHADOW = "create temp view {table} as select {columns} from {database}.main.{table} where {permitted}"
OWN_FARMS = "farm in (select farm from permitted)"
# A file is shown to those who may see every farm in it, and a refused one to the practice alone. What it
# has in common with another farm's session names that farm, and is for the practice too.
OWN_FILES = """
    file in (select file from {database}.main.file_farm)
    and file not in (
        select file from {database}.main.file_farm where farm not in (select farm from permitted)
    )
"""
OWN_PROBLEMS = OWN_FILES + "and code <> 'scorer_elsewhere'"
# what is missing for a farm may stand in a file with others' rows: then only that it is missing is told
OWN_PLACES = f"""
    * replace (case when {OWN_FILES} then file end as file, case when {OWN_FILES} then line end as line)
"""
COLUMNS = {"held_back": OWN_PLACES}
NOT_BY_FARM = {"import_file": OWN_FILES, "import_problem": OWN_PROBLEMS, "about": "true"}


class Snapshot(Protocol):
    """A published state: hands out cursors that read one generation."""

    def cursor(self) -> AbstractContextManager[Any]:
        """A cursor that is closed on leaving."""

    def generation(self) -> int:
        """The number of the state that a cursor would read now."""


class Reader:
    """Published tables as one visitor may see them.

    `scope` holds the codes of the farms that may be seen; None is every farm of the practice. With a scope,
    each table is shadowed by a view of the permitted rows before any query runs, so that no query can
    forget it. All that one reader is asked comes from one published state; it is for one thread.
    """

    def __init__(self, snapshot: Snapshot, scope: AbstractSet[str] | None = None) -> None:
        self._snapshot = snapshot
        self._scope = None if scope is None else frozenset(scope)
        self._opened = ExitStack()
        self._cursor: Any = None

    def generation(self) -> int:
        """Number of the published state: it grows with every publication."""
        return self._snapshot.generation()

    @contextmanager
    def cursor(self) -> Iterator[Any]:
        """The cursor on the permitted rows; opened when first needed, as each costs a dozen views."""
        if self._cursor is None:
            cursor = self._opened.enter_context(self._snapshot.cursor())
            if self._scope is not None:
                _shadow(cursor, self._scope)
            self._cursor = cursor
        yield self._cursor

    def close(self) -> None:
        """Let go of the published state; what is asked afterwards comes from the latest one."""
        self._cursor = None
        self._opened.close()

    def frame(self, query: str, values: Mapping[str, Any] | None = None) -> pd.DataFrame:
        """Answer of a query; `values` are bound to its `$names`."""
        with self.cursor() as cursor:
            answer: pd.DataFrame = cursor.execute(query, dict(values or {})).df()
        return answer

    def rows(self, query: str, values: Mapping[str, Any] | None = None) -> list[tuple[Any, ...]]:
        """As `frame`, as plain rows for a handful of values."""
        with self.cursor() as cursor:
            answer: list[tuple[Any, ...]] = cursor.execute(query, dict(values or {})).fetchall()
        return answer


def _shadow(cursor: Any, scope: frozenset[str]) -> None:
    cursor.execute(PERMITTED, {"farms": sorted(scope)})
    database = '"' + cursor.execute("select current_database()").fetchall()[0][0].replace('"', '""') + '"'
    for table in TABLES:
        # a table added later without a farm column fails here rather than being shown to all
        permitted = NOT_BY_FARM.get(table, OWN_FARMS).format(database=database)
        columns = COLUMNS.get(table, "*").format(database=database)
        cursor.execute(SHADOW.format(table=table, columns=columns, database=database, permitted=permitted))
