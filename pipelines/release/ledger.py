"""The practice's own record of which farms stood in which class of which release; never leaves it."""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping
from dataclasses import asdict, dataclass
from pathlib import Path

from pipelines.warehouse.durable import replace_content


@dataclass(frozen=True, slots=True)
class Entry:
    """One release: farm codes and the class each was released in (a number, meaningful within the entry).

    One that is `withdrawn` is shown to no member, but counts for every later one: somebody has seen it.
    """

    release: str
    group: str
    season: int
    classes: Mapping[str, int]
    withdrawn: bool = False


def histories(entries: Iterable[Entry]) -> dict[str, tuple[int | None, ...]]:
    """Classes of every farm ever released, one per release in order; None where it was not in it."""
    entries = list(entries)
    farms = sorted({farm for entry in entries for farm in entry.classes})
    return {farm: tuple(entry.classes.get(farm) for entry in entries) for farm in farms}


def read_ledger(path: Path) -> list[Entry]:
    """Entries of earlier releases, oldest first; none when there is no file.

    Raises `ValueError` naming the file when it cannot be used: without it no release is safe.
    """
    if not path.exists():
        return []
    try:
        return [Entry(**entry) for entry in json.loads(path.read_text(encoding="utf-8"))]
    except (TypeError, UnicodeDecodeError, json.JSONDecodeError) as error:
        raise ValueError(
            f"{path}: cannot be read, restore it from a backup before releasing: {error}"
        ) from error


def write_ledger(path: Path, entries: Iterable[Entry]) -> None:
    """Replace the ledger in one step, so that a power cut leaves the old one or the new one."""
    path.parent.mkdir(parents=True, exist_ok=True)
    replace_content(path, json.dumps([asdict(entry) for entry in entries], indent=1).encode())
