"""A practice of two farms in a few lines, and helpers that look at a data folder from outside."""

import io
import os
import shutil
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import duckdb
import pytest

from pipelines.models import TABLES
from pipelines.settings import Settings
from pipelines.warehouse.exporting import export
from pipelines.warehouse.importing import Given, import_paths
from pipelines.warehouse.report import ImportReport
from pipelines.warehouse.snapshot import Snapshot

from .kill import Importing

AS_OF = date(2026, 9, 20)

REGISTER = """farm,name,system,ewes,weaned_on,rams_in
NORTHBARN,North Barn,hill,40,2026-07-28,2026-10-24
SOUTHBARN,South Barn,lowland,30,2026-07-28,2026-10-24
"""


def session(farm: str, day: str, scores: str) -> str:
    """An individual session: `scores` in words, ewes numbered from 1."""
    rows = "".join(f"{farm},{day},ewes,{number},{score}\n" for number, score in enumerate(scores.split(), 1))
    return "farm,scored_on,group,ewe,score\n" + rows


@pytest.fixture
def settings(home: Path) -> Settings:
    return Settings(home=home, as_of=AS_OF)


def write_files(folder: Path) -> Path:
    """Four good files."""
    folder.mkdir()
    (folder / "register.csv").write_text(REGISTER)
    (folder / "north-1.csv").write_text(session("NORTHBARN", "2026-08-01", "2 2.5 2 3 1.5 2.5"))
    (folder / "north-2.csv").write_text(session("NORTHBARN", "2026-09-05", "2.5 2.5 2 3 2 2.5"))
    (folder / "south-1.csv").write_text(session("SOUTHBARN", "2026-09-04", "3 3.5 4 4.5 3 2"))
    return folder


@pytest.fixture
def files(tmp_path: Path) -> Path:
    return write_files(tmp_path / "files")


@pytest.fixture(scope="session")
def imported_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder into which the four files were imported. Only to be copied."""
    folder = tmp_path_factory.mktemp("imported")
    import_paths([write_files(folder / "files")], Settings(home=folder / "home", as_of=AS_OF))
    return folder / "home"


@pytest.fixture
def imported(imported_once: Path, home: Path, files: Path) -> Path:
    """The four files, which the home of this test has taken in already."""
    shutil.copytree(imported_once, home)
    return files


@pytest.fixture(scope="session")
def importing() -> Iterator[Importing]:
    """Starts imports in processes of their own."""
    if not hasattr(os, "fork"):
        pytest.skip("needs fork")
    importing = Importing()
    yield importing
    importing.close()


@pytest.fixture
def take(settings: Settings) -> Callable[..., ImportReport]:
    """Import paths into the home of this test."""

    def run(*paths: Path, **given: object) -> ImportReport:
        return import_paths(list(paths), settings, Given(**given))  # type: ignore[arg-type]

    return run


def exported(home: Path, without: tuple[str, ...] = ("about",)) -> dict[str, bytes]:
    """Every published table as CSV bytes; `about` names the generation and so is always another."""
    snapshot = Snapshot(home)
    tables = {}
    for table in TABLES:
        if table not in without:
            sink = io.BytesIO()
            export(snapshot, table, "csv", sink)
            tables[table] = sink.getvalue()
    snapshot.close()
    return tables


def query(home: Path, sql: str) -> list[tuple[object, ...]]:
    """Ask the warehouse itself, past the program."""
    connection = duckdb.connect(str(home / "warehouse.duckdb"))
    try:
        return connection.execute(sql).fetchall()
    finally:
        connection.close()
