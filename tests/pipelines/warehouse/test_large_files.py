"""A large file is read in pieces within one transaction, and gives what a small one gives."""

from collections.abc import Callable
from dataclasses import replace
from functools import partial
from pathlib import Path

import pytest

from pipelines.settings import Settings
from pipelines.warehouse import intake, large, recording
from pipelines.warehouse.checking import check
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.rebuilding import rebuild
from pipelines.warehouse.report import ImportReport

from .conftest import exported, query
from .large_file import PIECE_BYTES, ROWS, text, write_registers

Take = Callable[..., ImportReport]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    folder = tmp_path / "large"
    folder.mkdir()
    write_registers(folder)
    (folder / "all.csv").write_text(text())
    return folder


@pytest.fixture
def large_ones(monkeypatch: pytest.MonkeyPatch) -> None:
    for module in (intake, large):
        monkeypatch.setattr(module, "LARGE_BYTES", 300_000)
    monkeypatch.setattr(large, "parse_chunks", partial(large.parse_chunks, size=PIECE_BYTES))
    monkeypatch.setattr(large, "INSERT_ROWS", 6_000)


def stored(home: Path) -> list[tuple[object, ...]]:
    return query(home, "select count(*) from score_row")


def test_a_large_file_gives_what_it_gives_when_read_whole(
    take: Take, folder: Path, settings: Settings, tmp_path: Path, request: pytest.FixtureRequest
) -> None:
    small = replace(settings, home=tmp_path / "small")
    import_paths([folder], small)
    request.getfixturevalue("large_ones")
    take(folder)
    found = exported(settings.home)
    assert found == exported(small.home)
    assert b"all.csv,9002,score,score_out_of_range" in found["import_problem"]
    assert stored(settings.home) == [(ROWS - 1,)]


def test_a_large_file_is_checked_and_rebuilt(
    take: Take, folder: Path, settings: Settings, large_ones: None
) -> None:
    take(folder)
    before = exported(settings.home)
    assert check(settings).faults == ()
    rebuild(settings)
    assert exported(settings.home) == before


def test_a_large_file_refused_at_its_end_leaves_nothing_but_its_name(
    take: Take, folder: Path, settings: Settings, large_ones: None
) -> None:
    (folder / "all.csv").write_text(text("NORTHBARN,2019-08-01,ewes,7\0,3\n"))
    outcomes = {outcome.file: outcome.status for outcome in take(folder).files}
    assert outcomes["all.csv"] == "refused"
    assert stored(settings.home) == [(0,)]
    assert query(settings.home, "select line, code from file_problem") == [(ROWS + 2, "nul_bytes")]


def test_a_large_file_cut_short_leaves_nothing_and_is_taken_whole_the_next_time(
    take: Take, folder: Path, settings: Settings, large_ones: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    insert, calls = recording.insert_tables, iter(range(9))

    def failing(connection: object, kind: str, tables: list[object]) -> None:
        if kind == "scores" and next(calls) == 1:
            raise KeyboardInterrupt
        insert(connection, kind, tables)  # type: ignore[arg-type]

    monkeypatch.setattr(recording, "insert_tables", failing)
    with pytest.raises(KeyboardInterrupt):
        take(folder)
    assert stored(settings.home) == [(0,)]
    assert query(settings.home, "select count(*) from source_file where file = 'all.csv'") == [(0,)]
    monkeypatch.setattr(recording, "insert_tables", insert)
    take(folder)
    assert stored(settings.home) == [(ROWS - 1,)]


def test_a_large_file_that_changes_while_it_is_read_is_not_taken(
    take: Take, folder: Path, settings: Settings, large_ones: None, monkeypatch: pytest.MonkeyPatch
) -> None:
    store = intake.store

    def changed(archive: Path, path: Path, sha256: str) -> bool:
        path.write_text(text("NORTHBARN,2019-08-01,ewes,7,3\n"))
        return store(archive, path, sha256)

    monkeypatch.setattr(intake, "store", changed)
    report = take(folder)
    assert "changed while it was being read" in str(report.problems) + str(report.files)
    assert stored(settings.home) == [(0,)]
