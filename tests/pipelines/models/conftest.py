"""A warehouse in memory: `given` puts rows in as an import would, `when` builds, `then` reads a table."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path
from typing import Any

import duckdb
import pytest

from pipelines import models
from pipelines.settings import Settings

MIGRATIONS = Path(models.__file__).parent.parent / "warehouse" / "migrations"
TODAY = date(2026, 8, 20)
REGISTER = {
    "name": "Beck Side",
    "system": "lowland",
    "ewes": 200,
    "weaned_on": date(2026, 7, 1),
    "rams_in": date(2026, 10, 10),
    "season": 2026,
}
SCORE = {"scored_on": date(2026, 8, 15), "group": "Low field", "score": 3.0, "count": 1}


class World:
    """Rows, settings and what is built of them."""

    def __init__(self, copied: World | None = None) -> None:
        self.connection = duckdb.connect()
        self.settings = Settings(home=Path("unused"), as_of=TODAY)
        if copied:
            self._copy(copied)
            return
        for migration in sorted(MIGRATIONS.glob("*.sql")):
            self.connection.execute(migration.read_text(encoding="utf-8"))
        self.connection.execute("create table if not exists schema_version (version integer)")
        self.connection.execute("create schema marts")

    def _copy(self, other: World) -> None:
        """Take over every table of another world, in a database of its own."""
        tables = "select schema_name, table_name, sql from duckdb_tables() where not temporary"
        self.connection.execute("create schema marts")
        for schema, table, create in other.connection.execute(tables).fetchall():
            self.connection.execute(create)
            rows = other.connection.sql(f"from {schema}.{table}").to_arrow_table()  # noqa: F841
            self.connection.execute(f"insert into {schema}.{table} from rows")

    def file(self, file: str, **changed: Any) -> int:
        """A file in the ledger; returns its number."""
        ((number,),) = self.connection.execute("select count(*) + 1 from source_file").fetchall()
        row = {
            "file_id": number, "file": file, "sha256": f"sha of {file}", "kind": "scores",
            "layout": "individual", "imported_at": datetime(2026, 8, 20), "read_as_of": TODAY,
            "context_json": "{}", "status": "imported", "rows_read": 0, "rows_accepted": 0, "rows_refused": 0,
        } | changed  # fmt: skip
        self._insert("source_file", row)
        self._insert("changed_file", {"file": file})
        return int(number)

    def register(self, farm: str, *, file: str | None = None, **changed: Any) -> int:
        """One farm and season in a register of its own."""
        number = self.file(file or f"register-{farm}-{changed.get('season', 2026)}.csv", kind="register")
        self._insert("register_row", {"file_id": number, "line": 2, "farm": farm} | REGISTER | changed)
        return number

    def scores(self, farm: str, *rows: dict[str, Any], file: str = "scores.csv", **common: Any) -> int:
        """A file of score rows, the first on line 2."""
        number = self.file(file, rows_read=len(rows), rows_accepted=len(rows))
        for line, row in enumerate(rows, 2):
            self._insert("score_row", {"file_id": number, "line": line, "farm": farm} | SCORE | common | row)
        return number

    def tally(self, farm: str, counts: dict[float, int], **common: Any) -> int:
        """A file of counted scores."""
        return self.scores(
            farm, *({"score": score, "count": ewes} for score, ewes in counts.items()), **common
        )

    def retag(self, farm: str, old: str, new: str, noted_on: date = TODAY) -> None:
        self._insert("retag", {"farm": farm, "old_ewe": old, "new_ewe": new, "noted_on": noted_on})

    def status(self, number: int, status: str) -> None:
        self.connection.execute("update source_file set status = ? where file_id = ?", [status, number])

    def withdraw(self, file: str) -> None:
        self.connection.execute("update source_file set status = 'withdrawn' where file = ?", [file])
        self._insert("changed_file", {"file": file})

    def choose(self, **settings: Any) -> None:
        self.settings = replace(self.settings, **settings)

    def build(self, farms: Iterable[str] | Mapping[str, date | None] | None = None) -> models.Rebuilt:
        """Everything, or farms: all of each, or what came in of each on this day or later."""
        some = farms if farms is None or isinstance(farms, Mapping) else dict.fromkeys(farms)
        return models.build(self.connection, self.settings, some)

    def table(self, table: str, columns: str = "*", where: str = "true") -> list[Any]:
        """Rows of a published table; a single column comes as plain values."""
        query = f"select {columns} from marts.{table} where {where}"
        rows = self.connection.execute(query).fetchall()
        return [row[0] for row in rows] if rows and len(rows[0]) == 1 else rows

    def everything(self) -> dict[str, list[Any]]:
        """All published tables, in their own order."""
        return {table: self.table(table) for table in models.TABLES}

    def _insert(self, table: str, row: dict[str, Any]) -> None:
        names = ", ".join(f'"{name}"' for name in row)
        marks = ", ".join("?" for _ in row)
        self.connection.execute(f"insert into {table} ({names}) values ({marks})", list(row.values()))


@pytest.fixture
def world() -> World:
    return World()
