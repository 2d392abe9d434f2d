"""Files that were brought and are not imported yet: `HOME/offered/<token>/`, each seen by its bringer alone.

A token is drawn at random and says nothing of the file; the name a visitor gives is used only after
`names.base_name`. What is left lying for a day is thrown away.
"""

from __future__ import annotations

import json
import re
import secrets
import shutil
import time
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from dashboard.intake.names import base_name

FOLDER = "offered"
LARGEST_BYTES = 8_000_000
KEPT_SECONDS = 24 * 60 * 60
MOST_KEPT = 100
_TOKEN = re.compile(r"[A-Za-z0-9_-]{32}", re.ASCII)


@dataclass(frozen=True, slots=True)
class Offered:
    """A file on the counter; `report` once it was imported, when the file itself is there no more."""

    token: str
    name: str
    folder: Path
    report: dict[str, Any] | None

    @property
    def path(self) -> Path:
        """Where the file lies, under its own name."""
        return self.folder / "file" / self.name


def keep(home: Path, who: str, name: str, content: bytes) -> str:
    """Put a file on the counter; returns its token. Raises `OSError` when there is no room."""
    counter = home / FOLDER
    counter.mkdir(mode=0o700, parents=True, exist_ok=True)
    _clear(counter)
    token = secrets.token_urlsafe(24)
    folder = counter / token
    (folder / "file").mkdir(parents=True)
    offered = Offered(token, base_name(name), folder, None)
    offered.path.write_bytes(content)
    _note(folder / "about.json", {"who": who, "name": offered.name})
    return token


def find(home: Path, who: str, token: str) -> Offered | None:
    """What this visitor put on the counter under this token, if anything."""
    if not _TOKEN.fullmatch(token):
        return None
    folder = home / FOLDER / token
    try:
        about = json.loads((folder / "about.json").read_text(encoding="utf-8"))
        report = folder / "report.json"
        told = json.loads(report.read_text(encoding="utf-8")) if report.exists() else None
    except (OSError, ValueError):
        return None
    return Offered(token, about["name"], folder, told) if about["who"] == who else None


def finish(offered: Offered, report: dict[str, Any]) -> None:
    """Keep the report of what became of the file, and let go of the file: the archive has it now."""
    _note(offered.folder / "report.json", report)
    shutil.rmtree(offered.folder / "file", ignore_errors=True)


def _note(path: Path, content: dict[str, Any]) -> None:
    beside = path.with_suffix(".tmp")
    beside.write_text(json.dumps(content, default=str), encoding="utf-8")
    beside.replace(path)


def _clear(counter: Path) -> None:
    """Throw away what is old, and the oldest where too many lie there."""
    lying = sorted((folder.stat().st_mtime, folder) for folder in counter.iterdir() if folder.is_dir())
    old = time.time() - KEPT_SECONDS
    too_many = len(lying) - MOST_KEPT + 1
    for number, (at, folder) in enumerate(lying):
        if at < old or number < too_many:
            shutil.rmtree(folder, ignore_errors=True)
