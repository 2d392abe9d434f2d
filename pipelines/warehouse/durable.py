"""Writing files so that a power cut leaves the old content or the new one, never a mixture."""

from __future__ import annotations

import os
import sys
import threading
from collections.abc import Iterable
from pathlib import Path
from typing import BinaryIO

# Above this many files one sync of the whole system is cheaper than one per file. Only Linux promises
# that sync() returns after the data is on the disk.
_MANY = 8


def make_private(folder: Path) -> None:
    """Make `folder`, and what is missing of the way to it, so that nobody but its owner can look inside."""
    if not folder.exists():
        make_private(folder.parent)
        folder.mkdir(mode=0o700, exist_ok=True)


def create_private(path: Path) -> BinaryIO:
    """A new, empty file that its owner alone can read; what was there before is lost."""
    path.unlink(missing_ok=True)  # its mode would stay
    return open(path, "xb", opener=lambda name, flags: os.open(name, flags, 0o600))


def flush_all(paths: Iterable[Path]) -> None:
    """Return when the content of these files and folders is on the disk."""
    paths = list(paths)
    if sys.platform == "linux" and len(paths) > _MANY:
        os.sync()
        return
    for path in paths:
        flush(path)


def flush(path: Path) -> None:
    """Return when the content of this file or folder is on the disk."""
    if sys.platform == "win32" and path.is_dir():
        return  # Windows has no way to flush a folder; a rename there is durable by itself
    handle = os.open(path, os.O_RDONLY if path.is_dir() else os.O_RDWR)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def beside(path: Path) -> Path:
    """Where what is to become `path` is written first: in its folder, under a name of this very thread."""
    return path.with_name(f"{path.name}.{os.getpid()}-{threading.get_ident()}.tmp")


def replace_content(path: Path, content: bytes) -> None:
    """Give `path` this content atomically and durably."""
    new = beside(path)
    new.write_bytes(content)
    _become(new, path)


def keep_copy(source: Path, path: Path) -> None:
    """Let `path` be a copy of `source` that its owner alone can read, atomically and durably."""
    new = beside(path)
    with create_private(new) as copy:
        copy.write(source.read_bytes())
    _become(new, path)


def _become(new: Path, path: Path) -> None:
    flush(new)
    new.replace(path)
    flush(path.parent)
