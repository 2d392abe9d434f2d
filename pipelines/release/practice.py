"""Releases of one practice: made from its published tables and checked against all it has released before."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path

from pipelines import queries
from pipelines.queries import Reader
from pipelines.release.build import Issued, ReleaseError, issue
from pipelines.release.ledger import Entry, read_ledger, write_ledger
from pipelines.settings import Settings
from pipelines.warehouse.durable import keep_copy
from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.lock import writer_lock
from pipelines.warehouse.places import Places


def prepare(reader: Reader, settings: Settings, group: str, season: int | None = None) -> Issued:
    """The release of a group for a season (unless given, the one in hand). Nothing is recorded yet.

    Raises `WrongUseError` for a group that no farm is in, and `ReleaseError` where a release is refused.
    """
    known = queries.discussion_groups(reader)
    if group not in known:
        raise WrongUseError(
            f"no farm is in a discussion group '{group}'; in the register: {', '.join(known) or 'none'}"
        )
    year = season or queries.current_season(reader)
    tables = queries.group_tables(reader, group, year) if year else None
    if year is None or tables is None or (tables.farms["season"] == year).sum() == 0:
        raise ReleaseError(
            f"group {group}: the register has none of its farms in {year}; import that register"
        )
    return issue(
        group,
        year,
        farms=tables.farms,
        sessions=tables.sessions,
        distribution=tables.distribution,
        ledger=_ledger(settings.home),
        minimum=settings.minimum_release_farms,
    )


def record(home: Path, entry: Entry, file: Path) -> None:
    """Keep the release in `file` and add it to the ledger; on return both are on the disk, and the release
    may be handed out. Only what the ledger names is ever shown, so that it is written last."""
    places = Places(home)
    places.release_ledger.parent.mkdir(parents=True, exist_ok=True)
    keep_copy(file, places.released(entry.release))
    write_ledger(places.release_ledger, [*_ledger(home), entry])


@dataclass(frozen=True, slots=True)
class GivenOut:
    """A release that was given to a group, and the file that holds it."""

    release: str
    group: str
    season: int
    file: Path


def given_out(home: Path, groups: AbstractSet[str] | None) -> list[GivenOut]:
    """Releases to these `groups` (None: to any), the newest first, as far as their files were kept.

    Raises `ReleaseError` when the ledger cannot be read.
    """
    places = Places(home)
    entries = [GivenOut(e.release, e.group, e.season, places.released(e.release)) for e in _ledger(home)]
    return [one for one in reversed(entries) if (groups is None or one.group in groups) and one.file.exists()]


@contextmanager
def releasing(home: Path, wait_seconds: float) -> Iterator[None]:
    """One release at a time: two that did not know of each other could tell on their farms together."""
    with writer_lock(Places(home).release_lock, wait_seconds):
        yield


def _ledger(home: Path) -> list[Entry]:
    try:
        return read_ledger(Places(home).release_ledger)
    except ValueError as error:
        raise ReleaseError(str(error)) from error
