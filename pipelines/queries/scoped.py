"""A cursor for which only the permitted farms exist."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import AbstractContextManager, contextmanager
from typing import Any, Protocol

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

Scope = frozenset[str] | None
"""Farm codes that may be seen; None is every farm of the practice."""


class Snapshot(Protocol):
    """A published state: hands out cursors that read one generation."""

    def cursor(self) -> AbstractContextManager[Any]:
        """A cursor that is closed on leaving."""

    def generation(self) -> int:
        """The number of the state that a cursor would read now."""


@contextmanager
def scoped(snapshot: Snapshot, scope: Scope) -> Iterator[Any]:
    """A new cursor; with a scope, each table is shadowed by a view of the permitted rows before any query
    runs, so that no query can forget it."""
    with snapshot.cursor() as cursor:
        if scope is not None:
            _shadow(cursor, scope)
        yield cursor


def _shadow(cursor: Any, scope: frozenset[str]) -> None:
    cursor.execute(PERMITTED, {"farms": sorted(scope)})
    database = '"' + cursor.execute("select current_database()").fetchall()[0][0].replace('"', '""') + '"'
    for table in TABLES:
        # a table added later without a farm column fails here rather than being shown to all
        permitted = NOT_BY_FARM.get(table, OWN_FARMS).format(database=database)
        columns = COLUMNS.get(table, "*").format(database=database)
        cursor.execute(SHADOW.format(table=table, columns=columns, database=database, permitted=permitted))
