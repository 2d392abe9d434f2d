"""`tupping backup` and `tupping restore`: everything that cannot be made again, in one file."""

from __future__ import annotations

import shutil
import sqlite3
import tarfile
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path
from tempfile import TemporaryDirectory

from pipelines.settings import Settings, load
from pipelines.warehouse.durable import beside, create_private, flush, make_private
from pipelines.warehouse.errors import WrongUseError, plain_failures, require_folder
from pipelines.warehouse.lock import DEFAULT_WAIT_SECONDS, writer_lock
from pipelines.warehouse.places import Places
from pipelines.warehouse.rebuilding import RebuildReport, rebuild

_ARCHIVE, _SETTINGS, _LEDGER = "archive", "settings.toml", "release-ledger.json"
_RELEASES, _ACCOUNTS, _AUDIT = "releases", "accounts.sqlite", "audit.jsonl"


def backup(home: Path, target: Path, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> int:
    """Write archive, journal, settings, releases with their ledger, accounts and audit record into one tar
    that its owner alone can read; returns its size in bytes.

    The database is not in it: it is made again from these on restore. Nor is the key that signs sessions:
    whoever came by a backup could sign in with it, and without it everybody merely signs in anew.
    """
    places = Places(home)
    if not places.journal.exists():
        raise WrongUseError(f"nothing has been imported into {home} yet, so there is nothing to back up")
    require_folder(target.parent)
    new = beside(target)
    try:
        with (
            plain_failures(target.parent),
            writer_lock(places.lock, wait_seconds),
            writer_lock(places.release_lock, wait_seconds),
        ):
            _pack(places, new)
        new.replace(target)
    finally:
        new.unlink(missing_ok=True)
    return target.stat().st_size


def _pack(places: Places, target: Path) -> None:
    with (
        TemporaryDirectory(dir=places.home) as folder,
        create_private(target) as file,
        tarfile.open(fileobj=file, mode="w") as tar,
    ):
        tar.add(places.archive, _ARCHIVE)
        for name, path in _single_files(places):
            if path.exists():
                tar.add(path, name)
        for path in sorted(places.releases.glob("*.duckdb")):
            tar.add(path, f"{_RELEASES}/{path.name}")
        if places.accounts.exists():
            tar.add(_accounts_as_they_stand(places, Path(folder)), _ACCOUNTS)
    flush(target)


def _single_files(places: Places) -> Iterator[tuple[str, Path]]:
    """Names in the tar, and where each file lies in the data folder."""
    yield _SETTINGS, places.home / _SETTINGS
    yield _LEDGER, places.release_ledger
    yield _AUDIT, places.audit


def _accounts_as_they_stand(places: Places, folder: Path) -> Path:
    """A copy without any half of a change that is being written just now."""
    copy = folder / _ACCOUNTS
    with closing(sqlite3.connect(places.accounts)) as source, closing(sqlite3.connect(copy)) as target:
        source.backup(target)
    return copy


def restore(source: Path, settings: Settings, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> RebuildReport:
    """Unpack a backup into an empty data folder, verify every checksum, rebuild and publish. What is unpacked
    can be read by its owner alone.

    Raises `WrongUseError` when the folder holds data or accounts already, or the file is no backup.
    """
    places = Places(settings.home)
    if any(path.exists() for path in (places.archive, places.warehouse, places.accounts)):
        raise WrongUseError(f"{settings.home} holds data already: name an empty folder with --home")
    unpacked = places.home / "restoring"
    with plain_failures(settings.home):
        _unpack(source, unpacked)
        make_private(places.releases)
        for name, path in (*_single_files(places), (_ACCOUNTS, places.accounts)):
            if (unpacked / name).exists():
                (unpacked / name).replace(path)
        for path in (unpacked / _RELEASES).glob("*.duckdb"):
            path.replace(places.releases / path.name)
        (unpacked / _ARCHIVE).replace(places.archive)
        shutil.rmtree(unpacked)
    return rebuild(load(settings.home, settings.as_of), wait_seconds)


def _unpack(source: Path, folder: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)  # what a killed restore left
    make_private(folder)
    try:
        with tarfile.open(source, "r:") as tar:
            tar.extractall(folder, filter=_private)
    except tarfile.TarError as error:
        raise WrongUseError(f"{source} is not a backup made by tupping backup ({error})") from error
    if not (folder / _ARCHIVE / "journal.jsonl").exists():
        raise WrongUseError(f"{source} is not a backup made by tupping backup: it has no journal")


def _private(member: tarfile.TarInfo, folder: str) -> tarfile.TarInfo:
    """`member` as the filter 'data' lets it pass, for its owner alone."""
    return tarfile.data_filter(member, folder).replace(mode=0o700 if member.isdir() else 0o600, deep=False)
