"""`tupping backup` and `tupping restore`: everything that cannot be made again, in one file."""

from __future__ import annotations

import os
import shutil
import tarfile
from pathlib import Path

from pipelines.settings import Settings, load
from pipelines.warehouse.durable import flush
from pipelines.warehouse.errors import WrongUseError, plain_failures
from pipelines.warehouse.lock import DEFAULT_WAIT_SECONDS, writer_lock
from pipelines.warehouse.places import Places
from pipelines.warehouse.rebuilding import RebuildReport, rebuild

_ARCHIVE, _SETTINGS, _LEDGER = "archive", "settings.toml", "release-ledger.json"


def backup(home: Path, target: Path, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> int:
    """Write archive, journal, settings and the ledger of releases into one tar; returns its size in bytes.

    The database is not in it: it is made again from these on restore.
    """
    places = Places(home)
    if not places.journal.exists():
        raise WrongUseError(f"nothing has been imported into {home} yet, so there is nothing to back up")
    beside = target.with_name(f"{target.name}.{os.getpid()}.tmp")
    try:
        with plain_failures(target.parent), writer_lock(places.lock, wait_seconds):
            _pack(places, beside)
        beside.replace(target)
    finally:
        beside.unlink(missing_ok=True)
    return target.stat().st_size


def _pack(places: Places, target: Path) -> None:
    with tarfile.open(target, "w") as tar:
        tar.add(places.archive, _ARCHIVE)
        settings = places.home / _SETTINGS
        if settings.exists():
            tar.add(settings, _SETTINGS)
        if places.release_ledger.exists():
            tar.add(places.release_ledger, _LEDGER)
    flush(target)


def restore(source: Path, settings: Settings, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> RebuildReport:
    """Unpack a backup into an empty data folder, verify every checksum, rebuild and publish.

    Raises `WrongUseError` when the folder holds data already or the file is no backup.
    """
    places = Places(settings.home)
    if places.archive.exists() or places.warehouse.exists():
        raise WrongUseError(f"{settings.home} holds data already: name an empty folder with --home")
    unpacked = places.home / "restoring"
    with plain_failures(settings.home):
        _unpack(source, unpacked)
        if (unpacked / _SETTINGS).exists():
            (unpacked / _SETTINGS).replace(places.home / _SETTINGS)
        if (unpacked / _LEDGER).exists():
            places.release_ledger.parent.mkdir(exist_ok=True)
            (unpacked / _LEDGER).replace(places.release_ledger)
        (unpacked / _ARCHIVE).replace(places.archive)
        shutil.rmtree(unpacked)
    return rebuild(load(settings.home, settings.as_of), wait_seconds)


def _unpack(source: Path, folder: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)  # what a killed restore left
    folder.mkdir(parents=True)
    try:
        with tarfile.open(source, "r:") as tar:
            tar.extractall(folder, filter="data")
    except tarfile.TarError as error:
        raise WrongUseError(f"{source} is not a backup made by tupping backup ({error})") from error
    if not (folder / _ARCHIVE / "journal.jsonl").exists():
        raise WrongUseError(f"{source} is not a backup made by tupping backup: it has no journal")
