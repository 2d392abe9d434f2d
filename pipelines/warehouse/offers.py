"""Which files are offered for import, under which names, and what is left alone."""

from __future__ import annotations

import hashlib
import json
import os
import re
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any

from pipelines.imports.context import Context

# A spreadsheet is offered too: it is refused with its remedy, and the ledger remembers that it came.
_OFFERED_SUFFIXES = frozenset({".csv", ".tsv", ".txt", ".xlsx", ".xls", ".ods"})
RECORD = re.compile(r"[0-9a-f]{64}\.[0-9a-f]{12}", re.ASCII)  # as `record_name` writes it
_SHORT = 12
# Hidden files, and what a spreadsheet program lays beside a workbook while it is open.
_SYSTEMS_OWN = (".", "~$")


@dataclass(frozen=True, slots=True)
class Offer:
    """One file under the name it goes by in the ledger, and how it is to be read (`told`: `context_json`)."""

    file: str
    path: Path
    context: Context
    told: str
    offered_at: datetime


def find_files(paths: Sequence[Path]) -> tuple[dict[str, Path], tuple[Path, ...]]:
    """Files by ledger name, in order of name, and the files inside folders that are left alone.

    The name is the file's own, so that it does not matter from which folder it is handed in; files of one
    name in several folders go by folder and name. Hidden files are the system's and not looked at.
    """
    wanted: list[Path] = []
    left_alone: list[Path] = []
    chosen_paths = set(paths)
    for path in dict.fromkeys(_inside(paths)):
        chosen = path in chosen_paths or path.suffix.lower() in _OFFERED_SUFFIXES
        (wanted if chosen else left_alone).append(path)
    return dict(sorted(_named(wanted).items())), tuple(sorted(left_alone))


def _inside(paths: Iterable[Path]) -> Iterator[Path]:
    for path in paths:
        if not path.is_dir():
            yield path
            continue
        for folder, below, files in os.walk(path):
            below[:] = [name for name in below if not name.startswith(".")]
            yield from (Path(folder, name) for name in files if not name.startswith(_SYSTEMS_OWN))


def _named(paths: Sequence[Path]) -> dict[str, Path]:
    """Paths by the shortest ending that tells them apart."""
    parts = 1
    named: dict[str, Path] = {}
    while paths:
        names = {path: "/".join(path.absolute().parts[-parts:]) for path in paths}
        often = Counter(names.values())
        longest = max(len(path.absolute().parts) for path in paths)
        named |= {name: path for path, name in names.items() if often[name] == 1 or parts >= longest}
        paths = [path for path, name in names.items() if name not in named]
        parts += 1
    return named


def context_json(context: Context) -> str:
    """What a file was read with, except the day (which the ledger keeps as `read_as_of`)."""
    scored_on = context.scored_on.isoformat() if context.scored_on else None
    words = {"farm": context.farm, "scored_on": scored_on, "group": context.group}
    return json.dumps(words | {"headings": dict(context.headings)}, sort_keys=True, ensure_ascii=False)


def context_of(text: str, read_as_of: date) -> Context:
    """The context that `context_json` wrote."""
    words: Mapping[str, Any] = json.loads(text)
    scored_on = date.fromisoformat(words["scored_on"]) if words["scored_on"] else None
    return Context(
        today=read_as_of,
        farm=words["farm"],
        scored_on=scored_on,
        group=words["group"],
        headings=words["headings"],
    )


def what_was_told(text: str) -> tuple[str | None, str | None, str | None]:
    """Farm, date and group that the adviser gave: the same bytes told otherwise are another record."""
    words = json.loads(text)
    return words.get("farm"), words.get("scored_on"), words.get("group")


def record_name(sha256: str, told: str) -> str:
    """What names one record of the ledger: its content, and in short what was given with it."""
    given = json.dumps(what_was_told(told), ensure_ascii=False)
    return f"{sha256}.{hashlib.sha256(given.encode()).hexdigest()[:_SHORT]}"
