"""One writer at a time, and a sentence that says who it is."""

from __future__ import annotations

import json
import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import datetime
from pathlib import Path
from typing import BinaryIO

from pipelines.warehouse.durable import make_private
from pipelines.warehouse.errors import WarehouseBusyError

DEFAULT_WAIT_SECONDS = 10.0
_POLL_SECONDS = 0.05

if sys.platform == "win32":
    import msvcrt

    def _try_lock(file: BinaryIO) -> bool:
        file.seek(1 << 20)  # Windows locks are mandatory: lock a byte past the text, so it can be read
        try:
            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        except OSError:
            return False
        return True
else:
    import fcntl

    def _try_lock(file: BinaryIO) -> bool:
        # flock belongs to this opening of the file, so it also keeps two threads of one process apart
        try:
            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            return False
        return True


@contextmanager
def writer_lock(path: Path, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> Iterator[None]:
    """Hold the right to write; the operating system frees it when the process ends, however it ends.

    Raises `WarehouseBusyError`, naming who writes and since when, after `wait_seconds`.
    """
    make_private(path.parent)
    path.touch()
    with path.open("r+b") as file:
        _wait_for(file, path, wait_seconds)
        _sign(file)
        yield


def _wait_for(file: BinaryIO, path: Path, wait_seconds: float) -> None:
    give_up = time.monotonic() + wait_seconds
    while not _try_lock(file):
        if time.monotonic() >= give_up:
            raise WarehouseBusyError(
                f"{_who(path)} is writing to {path.parent}; waited {wait_seconds:g} s. "
                "Run the command again when that one is done, or wait longer with --wait SECONDS"
            )
        time.sleep(_POLL_SECONDS)


def _sign(file: BinaryIO) -> None:
    signature = {"pid": os.getpid(), "since": datetime.now().isoformat(" ", "seconds")}
    file.seek(0)
    file.truncate()
    file.write(json.dumps(signature).encode())
    file.flush()


def _who(path: Path) -> str:
    try:
        signed = json.loads(path.read_text())
        return f"process {signed['pid']} (since {signed['since']})"
    except (ValueError, KeyError):  # caught between locking and signing
        return "another process"
