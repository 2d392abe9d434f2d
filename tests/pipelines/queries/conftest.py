"""A small published practice, read as the dashboard reads it."""

from __future__ import annotations

from contextlib import contextmanager
from datetime import date, datetime
from itertools import product
from pathlib import Path

import duckdb
import pytest

from pipelines import models
from pipelines.queries import Reader
from pipelines.settings import Settings

MIGRATIONS = Path(models.__file__).parent.parent / "warehouse" / "migrations"
SEASONS = (2025, 2026)
SYSTEMS = {"F1": "lowland", "F2": "lowland", "F3": "hill"}


class Published:
    """A snapshot in memory."""

    def __init__(self, connection):
        self.connection = connection

    @contextmanager
    def cursor(self):
        cursor = self.connection.cursor()
        try:
            yield cursor
        finally:
            cursor.close()


SOURCE = """
    insert into source_file
    values (?, ?, ?, ?, 'individual', ?, date '2026-08-20', '{}', ?, 0, 0, 0, null, null)
"""
REGISTER = """
    insert into register_row
        (file_id, line, farm, name, system, ewes, weaned_on, rams_in, season, discussion_group)
    values (?, 2, ?, ?, ?, 100, ?, ?, ?, 'North')
"""
SCORE = """
    insert into score_row (file_id, line, farm, scored_on, "group", ewe, score, count, scorer)
    values (?, ?, ?, ?, 'A', ?, ?, 1, 'Ada')
"""
MISSING = "insert into file_problem values (?, 9, 'rams_in', 'rams_in_missing', 'error', '', 'blank')"
REFUSED = "insert into file_problem values (?, null, null, 'empty_file', 'error', '', 'empty')"


def fill(connection):
    """Three farms, two seasons, one file each, one register, and one file that was refused."""
    number = 0

    def file(name, kind, status="imported"):
        nonlocal number
        number += 1
        connection.execute(SOURCE, [number, name, name, kind, datetime(2026, 8, 20), status])
        return number

    register = file("register.csv", "register")
    connection.execute(REFUSED, [file("empty.csv", None, "refused")])
    for farm, season in product(SYSTEMS, SEASONS):
        days = [date(season, 7, 1), date(season, 10, 10), season]
        connection.execute(REGISTER, [register, farm, f"Farm {farm}", SYSTEMS[farm], *days])
        scores = file(f"{farm}-{season}.csv", "scores")
        for ewe in range(10):
            row = [scores, ewe + 2, farm, date(season, 8, 10), f"{farm}-{ewe}", 1.5 + ewe / 2 % 3]
            connection.execute(SCORE, row)
        if season == 2025:  # six weeks after the rams: of no stage, so it waits
            connection.execute(SCORE, [scores, 12, farm, date(2025, 11, 20), f"{farm}-0", 3.0])
    connection.execute("insert into refused_line values (?, 9, 'F3', 2024, 'Farm F3')", [register])
    connection.execute(MISSING, [register])


@pytest.fixture(scope="session")
def published(tmp_path_factory):
    connection = duckdb.connect()
    for migration in sorted(MIGRATIONS.glob("*.sql")):
        connection.execute(migration.read_text(encoding="utf-8"))
    connection.execute("create table if not exists schema_version (version integer)")
    connection.execute("create schema marts")
    fill(connection)
    models.build(connection, Settings(home=Path("unused"), as_of=date(2026, 8, 20)))
    path = tmp_path_factory.mktemp("published") / "gen-1.duckdb"
    connection.execute(f"attach '{path}' as generation")
    for table in models.TABLES:
        connection.execute(f"create table generation.{table} as from marts.{table}")
    connection.execute("detach generation")
    return Published(duckdb.connect(str(path), read_only=True, config={"lock_configuration": "true"}))


@pytest.fixture
def practice(published):
    return Reader(published)
