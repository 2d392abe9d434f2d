"""A full disk, a folder that may not be written to, a file that changes: named, and nothing half-done."""

import errno
import os
import subprocess
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from pipelines.imports import Run
from pipelines.settings import Settings
from pipelines.warehouse import archive, reading
from pipelines.warehouse.checking import check
from pipelines.warehouse.errors import WarehouseError
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.report import ImportReport

from .conftest import AS_OF, query, session

Take = Callable[..., ImportReport]


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of 2 MB; needs the right to mount."""
    folder = tmp_path / "small"
    folder.mkdir()
    mount = ["mount", "-t", "tmpfs", "-o", "size=2m", "tmpfs", str(folder)]
    if os.name != "posix" or os.geteuid() != 0 or subprocess.run(mount, capture_output=True).returncode:
        pytest.skip("mounting a small disk needs root")
    yield folder
    subprocess.run(["umount", str(folder)], check=True)


def test_a_full_disk_is_named_and_the_import_can_be_run_again(small_disk: Path, tmp_path: Path) -> None:
    files = tmp_path / "files"
    files.mkdir()
    for day in range(1, 29):
        text = session("NORTHBARN", f"2026-08-{day:02}", "2.5 3 " * 3000)
        (files / f"{day}.csv").write_text(text)
    with pytest.raises(WarehouseError, match=r"disk that holds .* is full"):
        import_paths([files], Settings(home=small_disk / "home", as_of=AS_OF))
    subprocess.run(["mount", "-o", "remount,size=200m", str(small_disk)], check=True)
    report = import_paths([files], Settings(home=small_disk / "home", as_of=AS_OF))
    assert len(report.files) == 28
    assert check(Settings(home=small_disk / "home", as_of=AS_OF)).faults == ()


def test_a_disk_that_fills_up_while_archiving_imports_nothing(
    take: Take, files: Path, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_paths: object) -> None:
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patched, pytest.raises(WarehouseError, match="is full"):
        patched.setattr(archive, "flush_all", full)
        take(files)
    assert query(home, "select count(*) from source_file") == [(0,)]
    assert len(take(files).files) == 4
    assert not list(archive.unfinished(home / "archive"))


def test_a_home_that_cannot_be_made_is_named(tmp_path: Path, files: Path) -> None:
    (tmp_path / "taken").write_text("a file where the folder should be")
    with pytest.raises(WarehouseError, match="taken"):
        import_paths([files], Settings(home=tmp_path / "taken" / "home", as_of=AS_OF))


def test_a_home_that_is_read_only_is_named(take: Take, files: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refuse(*_: object, **__: object) -> None:
        raise OSError(errno.EROFS, "Read-only file system")

    monkeypatch.setattr(
        Path, "touch", refuse
    )  # root may write anywhere, so the system's word is put in its mouth
    with pytest.raises(WarehouseError, match=r"cannot be written to.*--home"):
        take(files)


def test_a_file_that_changes_while_it_is_read_is_not_taken(
    take: Take, files: Path, home: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = reading.read_batch

    def changing(folder: Path, run: Run, task: tuple[reading.ToRead, ...]) -> reading.Batch:
        (files / "north-1.csv").write_text(session("NORTHBARN", "2026-08-01", "5 5"))
        return whole(folder, run, task)

    monkeypatch.setattr(reading, "read_batch", changing)
    report = take(files)
    (outcome,) = [outcome for outcome in report.files if outcome.file == "north-1.csv"]
    assert (outcome.status, report.something_refused()) == ("changed", True)
    assert query(home, "select count(*) from score_row where score = 5") == [(0,)]


def test_a_file_that_cannot_be_read_does_not_stop_the_others(take: Take, files: Path, home: Path) -> None:
    (files / "gone.csv").symlink_to(files / "nowhere.csv")
    report = take(files / "gone.csv", files)
    assert [o.file for o in report.files if o.status == "unreadable"] == ["gone.csv"]
    assert query(home, "select count(*) from source_file") == [(4,)]
