"""What can stop the warehouse, each said so that the reader knows what to do next."""

from __future__ import annotations

import errno
from collections.abc import Iterator
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from pathlib import Path

import duckdb


class WarehouseError(Exception):
    """Work that could not be done; nothing was half-done. The message names the remedy."""


class WarehouseBusyError(WarehouseError):
    """Another process is writing."""


class WrongUseError(WarehouseError):
    """A request that names something which is not there, or contradicts itself."""


class GivenTwiceError(WrongUseError):
    """The same bytes were imported with several days, and the request does not say which is meant."""


class NotYoursError(WarehouseError):
    """A file that names farms beyond those of whoever brings it in."""


def nothing_imported(home: Path) -> WrongUseError:
    """What to say of a data folder without data, or of one whose name was mistyped."""
    return WrongUseError(f"nothing has been imported into {home} yet: run tupping import PATH --home {home}")


def require_folder(folder: Path) -> None:
    """Raise `WrongUseError` when the folder that a file is to be written into is not there."""
    if not folder.is_dir():
        raise WrongUseError(f"there is no folder {folder}: make it first, or name another")


_FULL = (errno.ENOSPC, errno.EDQUOT)
_NOT_WRITABLE = (errno.EROFS, errno.EACCES, errno.EPERM)


@contextmanager
def plain_failures(home: Path) -> Iterator[None]:
    """Turn what the disk and the database say about `home` into a `WarehouseError` in plain words."""
    try:
        yield
    except OSError as error:
        raise WarehouseError(_disk_trouble(home, error.errno, str(error))) from error
    except BrokenProcessPool as error:
        raise WarehouseError(
            "a process that was reading files was ended from outside, often because memory ran out. "
            "Nothing was half-imported: close other programs, then run the same command again"
        ) from error
    except RuntimeError as error:
        if "interrupted" in str(error).lower():  # what DuckDB makes of Ctrl+C during a query
            raise KeyboardInterrupt from error
        raise
    except duckdb.Error as error:
        raise WarehouseError(_database_trouble(home, str(error))) from error


def _disk_trouble(home: Path, number: int | None, text: str) -> str:
    if number in _FULL:
        return (
            f"the disk that holds {home} is full. Nothing was half-imported: make room, "
            "then run the same command again"
        )
    if number in _NOT_WRITABLE:
        return (
            f"{home} cannot be written to ({text}). Ask for write permission, or name another "
            "folder with --home"
        )
    if number == errno.ENOTDIR:
        return f"{home} lies below a file, which is no folder: name another folder with --home"
    return f"the disk that holds {home} reports: {text}"


def _database_trouble(home: Path, text: str) -> str:
    lowered = text.lower()
    if "no space left" in lowered or "disk quota" in lowered:
        return _disk_trouble(home, errno.ENOSPC, text)
    if "read-only file system" in lowered or "permission denied" in lowered:
        return _disk_trouble(home, errno.EACCES, text)
    return f"the warehouse in {home} reports: {text}"
