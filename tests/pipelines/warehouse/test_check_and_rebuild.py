"""The archive is enough: it tells what is wrong with the warehouse, and gives it back."""

from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from pipelines.settings import Settings
from pipelines.warehouse.backups import backup, restore
from pipelines.warehouse.checking import check
from pipelines.warehouse.commands import retag_ewe, withdraw_file
from pipelines.warehouse.errors import WarehouseError, WrongUseError
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.rebuilding import rebuild
from pipelines.warehouse.report import ImportReport

from .conftest import exported, query, session

Take = Callable[..., ImportReport]


def archived_copy(home: Path, file: str) -> Path:
    ((sha256,),) = query(home, f"select sha256 from source_file where file = '{file}'")
    return home / "archive" / str(sha256)[:2] / str(sha256)


def flip_a_byte(path: Path) -> None:
    content = bytearray(path.read_bytes())
    content[-3] ^= 1
    path.write_bytes(content)


def test_check_finds_nothing_amiss_after_an_import(imported: Path, settings: Settings) -> None:
    report = check(settings)
    assert (report.files, report.rows, report.faults) == (4, 20, ())  # 18 ewes and 2 farms


def test_check_finds_a_flipped_byte_and_importing_again_puts_it_right(
    take: Take, imported: Path, settings: Settings
) -> None:
    flip_a_byte(archived_copy(settings.home, "north-1.csv"))
    (fault,) = check(settings).faults
    assert fault.file == "north-1.csv"
    assert "checksum" in fault.what
    take(imported)
    assert check(settings).faults == ()


def test_check_finds_a_missing_archive_file(imported: Path, settings: Settings) -> None:
    archived_copy(settings.home, "south-1.csv").unlink()
    assert [fault.file for fault in check(settings).faults] == ["south-1.csv"]


def test_check_finds_a_lost_row(imported: Path, settings: Settings) -> None:
    query(settings.home, "delete from score_row where file_id = 2 and line = 3")
    (fault,) = check(settings).faults
    assert "6 rows, the warehouse holds 5" in fault.what


def test_check_finds_a_falsified_ledger(imported: Path, settings: Settings) -> None:
    query(settings.home, "update source_file set rows_refused = 4 where file = 'north-2.csv'")
    (fault,) = check(settings).faults
    assert "the ledger says 6 rows read, 6 accepted, 4 refused" in fault.what


def test_rebuild_gives_back_a_lost_warehouse(
    take: Take, imported: Path, settings: Settings, tmp_path: Path
) -> None:
    (tmp_path / "fix.csv").write_text(session("NORTHBARN", "2026-08-01", "2 2.5 2 3 1.5 3"))
    take(tmp_path / "fix.csv", supersede="north-1.csv")
    withdraw_file(settings, "south-1.csv", 1)
    retag_ewe(settings, "NORTHBARN", "3", "33", 1)
    before = exported(settings.home)
    (settings.home / "warehouse.duckdb").unlink()
    rebuild(settings)
    assert exported(settings.home) == before
    assert check(settings).faults == ()


def test_rebuild_reads_each_file_as_of_its_first_day(
    take: Take, home: Path, tmp_path: Path, settings: Settings
) -> None:
    path = tmp_path / "early.csv"
    path.write_text(session("NORTHBARN", "2026-09-25", "2 3"))
    take(path)
    rebuild(replace(settings, as_of=date(2026, 12, 1)))
    assert query(home, "select status, rows_accepted from source_file") == [
        ("imported_with_problems", 0)
    ] or (query(home, "select status from source_file") == [("refused",)])


def test_rebuild_follows_a_file_that_was_read_again(
    take: Take, home: Path, tmp_path: Path, settings: Settings
) -> None:
    path = tmp_path / "early.csv"
    path.write_text(session("NORTHBARN", "2026-09-25", "2 3"))
    take(path)
    import_paths([path], replace(settings, as_of=date(2026, 9, 26)))
    rebuild(settings)
    assert query(home, "select count(*) from score_row") == [(2,)]


def test_rebuild_keeps_the_warehouse_when_the_archive_is_damaged(imported: Path, settings: Settings) -> None:
    flip_a_byte(archived_copy(settings.home, "north-1.csv"))
    with pytest.raises(WarehouseError, match=r"north-1\.csv"):
        rebuild(settings)
    assert query(settings.home, "select count(*) from score_row") == [(18,)]


def test_a_backup_restores_the_same_tables(imported: Path, settings: Settings, tmp_path: Path) -> None:
    backup(settings.home, tmp_path / "practice.tar")
    elsewhere = replace(settings, home=tmp_path / "elsewhere")
    restore(tmp_path / "practice.tar", elsewhere)
    assert exported(elsewhere.home) == exported(settings.home)
    with pytest.raises(WrongUseError, match="holds data already"):
        restore(tmp_path / "practice.tar", elsewhere)


def test_a_file_that_is_no_backup_is_refused(settings: Settings, tmp_path: Path) -> None:
    (tmp_path / "photo.jpg").write_bytes(b"\xff\xd8 not a tar")
    with pytest.raises(WrongUseError, match="not a backup"):
        restore(tmp_path / "photo.jpg", settings)
    assert not (settings.home / "archive").exists()
