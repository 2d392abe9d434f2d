"""The key that signs session cookies: `HOME/secret.key`, made once, readable by its owner alone."""

from __future__ import annotations

import os
import secrets
import stat
import sys
from pathlib import Path

from dashboard.accounts.account import AccountError
from pipelines.warehouse.durable import beside, make_private

FILE = "secret.key"
_BYTES = 32


def load(home: Path) -> bytes:
    """The key of this data folder, made when there is none.

    Raises `AccountError` when other users of the machine can read it, or when it is cut short.
    """
    path = home / FILE
    if not path.exists():
        _make(path)
    if sys.platform != "win32" and stat.S_IMODE(path.stat().st_mode) & 0o077:
        raise AccountError(
            f"others can read {path}: delete it (everybody signs in anew) and start again; "
            "a new one is made that only you can read"
        )
    key = path.read_bytes()
    if len(key) < _BYTES:
        raise AccountError(f"{path} is cut short: delete it and start again; everybody signs in anew")
    return key


def _make(path: Path) -> None:
    make_private(path.parent)
    new = beside(path)
    handle = os.open(new, os.O_WRONLY | os.O_CREAT | os.O_TRUNC, 0o600)
    try:
        os.write(handle, secrets.token_bytes(_BYTES))
        os.fsync(handle)
    finally:
        os.close(handle)
    try:
        os.link(new, path)  # refuses when another process was first, whose key then counts
    except FileExistsError:
        pass
    finally:
        new.unlink()
