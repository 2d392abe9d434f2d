"""Readers: many threads, always one whole generation, and no way to do harm."""

import threading
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import duckdb
import pytest

from pipelines.settings import Settings
from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.publish import publish, refresh
from pipelines.warehouse.report import ImportReport
from pipelines.warehouse.snapshot import Snapshot
from pipelines.warehouse.writer import open_writer

from .conftest import session

Take = Callable[..., ImportReport]


def sessions(snapshot: Snapshot) -> int:
    with snapshot.cursor() as cursor:
        ((count,),) = cursor.execute("select count(*) from import_file where kind = 'scores'").fetchall()
    return int(count)


def test_before_the_first_import_it_says_what_to_do(home: Path) -> None:
    with pytest.raises(WrongUseError, match="tupping import"), Snapshot(home).cursor():
        pass


def test_a_snapshot_follows_the_pointer(take: Take, imported: Path, home: Path) -> None:
    snapshot = Snapshot(home)
    assert sessions(snapshot) == 3
    (imported / "north-3.csv").write_text(session("NORTHBARN", "2026-09-12", "2 3"))
    take(imported)
    assert sessions(snapshot) == 4
    snapshot.close()


def test_a_cursor_in_use_stays_on_its_generation(imported: Path, settings: Settings) -> None:
    snapshot = Snapshot(settings.home)
    with snapshot.cursor() as cursor:
        for _ in range(5):  # more generations than are kept
            with open_writer(settings.home) as writer:
                publish(writer, settings)
            snapshot.generation()
        assert cursor.execute("select generation from about").fetchall() == [(1,)]
    snapshot.close()


def test_only_a_few_generations_are_kept(imported: Path, settings: Settings) -> None:
    for _ in range(5):
        with open_writer(settings.home) as writer:
            publish(writer, settings)
    kept = sorted(path.name for path in (settings.home / "published").glob("gen-*.duckdb"))
    assert kept == ["gen-4.duckdb", "gen-5.duckdb", "gen-6.duckdb"]


def test_a_generation_that_is_open_is_not_deleted(imported: Path, settings: Settings) -> None:
    snapshot = Snapshot(settings.home)
    snapshot.generation()
    for _ in range(4):
        with open_writer(settings.home) as writer:
            publish(writer, settings)
    assert (settings.home / "published" / "gen-1.duckdb").exists()
    snapshot.close()


@pytest.mark.parametrize(
    "harm",
    [
        "create table x (y integer)",
        "delete from import_file",
        "set enable_external_access = true",
        "select * from read_csv('/etc/passwd')",
        "attach '/tmp/elsewhere.duckdb'",
        "copy import_file to '/tmp/import_file.csv'",
    ],
)
def test_a_snapshot_does_no_harm(imported: Path, home: Path, harm: str) -> None:
    snapshot = Snapshot(home)
    with snapshot.cursor() as cursor, pytest.raises(duckdb.Error):
        cursor.execute(harm).fetchall()
    snapshot.close()


def test_many_threads_read_while_generations_change(imported: Path, settings: Settings) -> None:
    snapshot, counts, failures = Snapshot(settings.home), [], []

    def read() -> None:
        try:
            counts.extend(sessions(snapshot) for _ in range(25))
        except Exception as error:
            failures.append(error)

    readers = [threading.Thread(target=read) for _ in range(4)]
    for reader in readers:
        reader.start()
    for _ in range(3):
        with open_writer(settings.home) as writer:
            publish(writer, settings)
    for reader in readers:
        reader.join()
    snapshot.close()
    assert (failures, set(counts), len(counts)) == ([], {3}, 100)


def test_a_new_day_is_published_when_asked_and_only_then(imported: Path, settings: Settings) -> None:
    tomorrow = replace(settings, as_of=date(2026, 9, 21))
    assert [refresh(settings), refresh(tomorrow), refresh(tomorrow)] == [False, True, False]
    snapshot = Snapshot(settings.home)
    with snapshot.cursor() as cursor:
        assert cursor.execute("select as_of, generation from about").fetchall() == [(date(2026, 9, 21), 2)]
    snapshot.close()


def test_nothing_is_published_while_nothing_is_imported(settings: Settings) -> None:
    assert not refresh(settings)
    assert not settings.home.exists()
