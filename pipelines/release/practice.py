"""Releases of one practice: made from its published tables and checked against all it has released before."""

from __future__ import annotations

from collections.abc import Iterator
from collections.abc import Set as AbstractSet
from contextlib import contextmanager
from dataclasses import dataclass, replace
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
    """A release that was given to a group, and its file; one `withdrawn` is for the practice alone.

    Of one that is not `kept`, made before files were, only the ledger tells: it cannot be shown.
    """

    release: str
    group: str
    season: int
    file: Path
    withdrawn: bool
    kept: bool = True


def given_out(home: Path, groups: AbstractSet[str] | None) -> list[GivenOut]:
    """Releases to these `groups` that were not withdrawn, the newest first; None: all, for the practice.

    Raises `ReleaseError` when the ledger cannot be read.
    """
    return [
        _given_out(each, Places(home).released(each.release))
        for each in reversed(_ledger(home))
        if groups is None or (each.group in groups and not each.withdrawn)
    ]


def _given_out(entry: Entry, file: Path) -> GivenOut:
    return GivenOut(entry.release, entry.group, entry.season, file, entry.withdrawn, file.exists())


def withdraw(home: Path, release: str, wait_seconds: float, withdrawn: bool = True) -> str:
    """Let members see a release no more, or (not `withdrawn`) again; returns its group.

    It stays in the ledger with every farm's class, so that later releases are checked against it as before.
    Raises `WrongUseError` for a release that was never made.
    """
    with releasing(home, wait_seconds):
        entries = _ledger(home)
        for place, entry in enumerate(entries):
            if entry.release == release:
                changed = replace(entry, withdrawn=withdrawn)
                write_ledger(Places(home).release_ledger, [*entries[:place], changed, *entries[place + 1 :]])
                return entry.group
    raise WrongUseError("no such comparison was ever made here")


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
