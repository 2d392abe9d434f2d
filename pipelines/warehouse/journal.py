"""The archive's own record of what was done, one JSON object a line, written before the database commits.

With the archived bytes it is all that `tupping rebuild` needs, also when the warehouse itself is lost. An
entry whose transaction never committed does no harm: what was offered and archived is then imported by the
rebuild, as the next run of the same command would have done.
"""

from __future__ import annotations

import json
import os
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

from pipelines.warehouse.errors import WarehouseError

Entry = dict[str, Any]


def append(journal: Path, entries: Sequence[Entry]) -> None:
    """Add entries; on return they survive a power cut."""
    if not entries:
        return
    journal.parent.mkdir(parents=True, exist_ok=True)
    text = "".join(json.dumps(entry, sort_keys=True, ensure_ascii=False) + "\n" for entry in entries)
    with journal.open("ab") as file:
        if file.tell() and not _ends_a_line(journal):
            file.write(b"\n")  # a kill cut the last entry short; what follows must not be lost with it
        file.write(text.encode())
        file.flush()
        os.fsync(file.fileno())


def _ends_a_line(journal: Path) -> bool:
    with journal.open("rb") as file:
        file.seek(-1, os.SEEK_END)
        return file.read(1) == b"\n"


def entries(journal: Path) -> Iterator[Entry]:
    """Every whole entry, oldest first; one that a kill cut short had not happened yet.

    Raises `WarehouseError` when there is no journal.
    """
    if not journal.exists():
        raise WarehouseError(
            f"{journal} is missing, so the archive cannot be read back. Restore it from a backup "
            "(tupping restore), or import the files again"
        )
    for line in journal.read_text("utf-8").splitlines():
        try:
            yield json.loads(line)
        except ValueError:
            continue


def size(journal: Path) -> int:
    """Grows with everything that is done: tells whether the published tables are of this state."""
    return journal.stat().st_size if journal.exists() else 0
