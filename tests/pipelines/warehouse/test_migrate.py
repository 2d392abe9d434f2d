from collections.abc import Iterator

import duckdb
import pytest

from pipelines.warehouse.errors import WarehouseError
from pipelines.warehouse.migrate import migrate, migrations, schema_version

FIRST = "create table a (x integer); insert into a values (1)"
SECOND = "alter table a add column y integer; update a set y = x + 1"


@pytest.fixture
def connection() -> Iterator[duckdb.DuckDBPyConnection]:
    opened = duckdb.connect()
    yield opened
    opened.close()


def test_an_older_warehouse_keeps_its_rows(connection: duckdb.DuckDBPyConnection) -> None:
    migrate(connection, {1: FIRST})
    migrate(connection, {1: FIRST, 2: SECOND})
    assert connection.execute("select x, y from a").fetchall() == [(1, 2)]
    assert schema_version(connection) == 2


def test_a_migration_is_applied_once(connection: duckdb.DuckDBPyConnection) -> None:
    for _ in range(2):
        migrate(connection, {1: FIRST})
    assert connection.execute("select * from a").fetchall() == [(1,)]


def test_a_migration_that_fails_leaves_no_trace(connection: duckdb.DuckDBPyConnection) -> None:
    migrate(connection, {1: FIRST})
    with pytest.raises(duckdb.Error):
        migrate(connection, {1: FIRST, 2: "alter table a add column y integer; select nonsense"})
    assert schema_version(connection) == 1
    assert connection.execute("select * from a").fetchall() == [(1,)]


def test_a_warehouse_of_a_newer_program_is_not_touched(connection: duckdb.DuckDBPyConnection) -> None:
    migrate(connection, {1: FIRST, 2: SECOND})
    with pytest.raises(WarehouseError, match="newer program"):
        migrate(connection, {1: FIRST})


def test_the_numbered_files_have_no_gap() -> None:
    assert list(migrations()) == list(range(1, len(migrations()) + 1))
