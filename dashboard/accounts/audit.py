"""The record of who did what: `HOME/audit.jsonl`, one line an event, only ever added to."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Literal

from pipelines.warehouse.places import Places

LONGEST_VALUE = 200
Event = Literal[
    "signed in", "sign-in refused", "signed out", "import", "export", "backup", "restore", "release",
    "withdraw release", "open release", "draw list", "brief", "calendar", "withdraw", "retag",
    "account added", "account removed", "password changed",
]  # fmt: skip


def note(home: Path, event: Event, who: str, where: str, **details: str) -> None:
    """Add one line and return when it is on the disk.

    `who`: account, or the name given; `where`: address of the visitor, or `command line`. Raises `OSError`
    when it cannot be written: what cannot be recorded is not done.
    """
    at = datetime.now(UTC).isoformat(timespec="milliseconds")
    values = {"at": at, "event": event, "who": who, "where": where, **details}
    # ASCII with escapes: a name may hold line ends or text that runs from right to left
    line = json.dumps({name: value[:LONGEST_VALUE] for name, value in values.items()}) + "\n"
    handle = os.open(Places(home).audit, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    try:
        os.write(handle, line.encode("ascii"))
        os.fsync(handle)
    finally:
        os.close(handle)
