"""Handing out a release: every file is made first, the ledger written next, and only then do they appear."""

from __future__ import annotations

import shutil
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import quote

from dashboard.meeting import page, paper
from dashboard.meeting.content import meeting
from pipelines.queries import Reader
from pipelines.release import practice
from pipelines.release.build import Issued, Release
from pipelines.settings import Settings
from pipelines.warehouse.errors import plain_failures
from pipelines.warehouse.released import write_release

CARDS = "cards-private"


@dataclass(frozen=True, slots=True)
class Asked:
    """Which release is wanted, and where."""

    group: str
    season: int | None
    folder: Path
    wait_seconds: float


@dataclass(frozen=True, slots=True)
class HandedOut:
    """Files for the group, cards for the adviser alone, and the farms left out with the reason."""

    release: str
    season: int
    letters: int
    files: tuple[Path, ...]
    cards: tuple[Path, ...]
    left_out: Mapping[str, str]


def hand_out(reader: Reader, settings: Settings, asked: Asked) -> HandedOut:
    """Make the release and put its files into the folder.

    The ledger is on the disk before the first file can be seen under its own name: a crash between leaves a
    release recorded that nobody has, which is safe, never the other way round.
    Raises `ReleaseError` when it is refused, `WarehouseError` when a file cannot be written.
    """
    with practice.releasing(settings.home, asked.wait_seconds):
        issued = practice.prepare(reader, settings, asked.group, asked.season)
        made = asked.folder / f".unfinished-{issued.release.release}"
        with plain_failures(asked.folder):
            try:
                (made / CARDS).mkdir(parents=True)
                file = _write_all(issued, _names(reader, issued), made)
                practice.record(settings.home, issued.entry, file)
                files, cards = _reveal(made, asked.folder)
            finally:
                shutil.rmtree(made, ignore_errors=True)
    return HandedOut(
        issued.release.release, issued.release.season, len(issued.letter_of), files, cards, issued.left_out
    )


def _names(reader: Reader, issued: Issued) -> dict[str, str]:
    from pipelines import queries

    known = queries.farms(reader).set_index("code")["name"].to_dict()
    return {farm: str(known.get(farm) or farm) for farm in issued.letter_of}


def _write_all(issued: Issued, names: Mapping[str, str], made: Path) -> Path:
    """The release in its three forms, made from the release alone, and a card for each farm; the first form,
    from which the others can be made again."""
    content = meeting(issued.release)
    stem = file_stem(issued.release)
    write_release(made / f"{stem}.duckdb", issued.release)
    (made / f"{stem}.html").write_text(page.render(content), encoding="utf-8")
    (made / f"{stem}.pdf").write_bytes(paper.render(content))
    for farm, letter in issued.letter_of.items():
        name = f"{quote(farm, safe=' ')}-{issued.release.release[:8]}.pdf"
        (made / CARDS / name).write_bytes(paper.card(content, letter, names[farm]))
    return made / f"{stem}.duckdb"


def file_stem(release: Release) -> str:
    """Name, without its ending, of a file that holds `release`."""
    return f"comparison-{release.season}-{release.release[:8]}"


def _reveal(made: Path, folder: Path) -> tuple[tuple[Path, ...], tuple[Path, ...]]:
    """Rename what was made to where it belongs; each file appears whole."""
    (folder / CARDS).mkdir(exist_ok=True)
    moved = {
        path: path.replace(folder / path.relative_to(made))
        for path in sorted(made.rglob("*"))
        if path.is_file()
    }
    cards = tuple(to for path, to in moved.items() if path.parent.name == CARDS)
    return tuple(to for to in moved.values() if to not in cards), cards
