"""`tupping rebuild`: the warehouse made anew from the archive, as if everything had been done again."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime
from itertools import groupby
from pathlib import Path

from pipelines.settings import Settings
from pipelines.warehouse import corrections, journal, mappings
from pipelines.warehouse.archive import archived, sha256_of_file
from pipelines.warehouse.durable import flush
from pipelines.warehouse.errors import WarehouseError, plain_failures
from pipelines.warehouse.intake import Progress, take_in
from pipelines.warehouse.lock import DEFAULT_WAIT_SECONDS, writer_lock
from pipelines.warehouse.offers import Offer, context_of
from pipelines.warehouse.places import Places
from pipelines.warehouse.publish import publish
from pipelines.warehouse.writer import Writer, connected, require_data, transaction


@dataclass(frozen=True, slots=True)
class RebuildReport:
    """How many files were read back, and the generation that was published."""

    files: int
    generation: int


def rebuild(
    settings: Settings, wait_seconds: float = DEFAULT_WAIT_SECONDS, progress: Progress = lambda _bytes: None
) -> RebuildReport:
    """Make the warehouse anew from archive and journal, each file read as it was read first, and publish.

    Raises `WarehouseError` when an archived file is damaged or missing; the old warehouse is kept then.
    """
    places = Places(settings.home)
    require_data(places)
    with plain_failures(settings.home), writer_lock(places.lock, wait_seconds):
        entries = list(journal.entries(places.journal))
        _refuse_damaged(places.archive, entries)
        fresh = places.warehouse.with_name("rebuilding.duckdb")
        _remove_database(fresh)
        with connected(fresh) as connection:
            replay(Writer(connection, places), entries, progress)
        flush(fresh)
        _remove_database(places.warehouse, keep=True)
        fresh.replace(places.warehouse)
        flush(places.home)
        with connected(places.warehouse) as connection:
            generation = publish(Writer(connection, places), settings)
    return RebuildReport(len({entry["file"] for entry in entries if entry["event"] == "import"}), generation)


def replay(writer: Writer, entries: Iterable[journal.Entry], progress: Progress) -> None:
    """Do everything that the journal says, in its order."""
    for event, several in groupby(entries, key=lambda entry: entry["event"]):
        if event == "import":
            for at_once in _read_once(several):
                take_in(writer, [_offer(writer.places.archive, entry) for entry in at_once], progress)
            continue
        with transaction(writer.connection):
            for entry in several:
                redo = mappings.keep if event == "map" else corrections.replay
                redo(writer, entry)


def _read_once(imports: Iterable[journal.Entry]) -> Iterator[list[journal.Entry]]:
    """Imports in runs within which no content is read twice: a later reading replaces the one before."""
    run: list[journal.Entry] = []
    read_with: dict[str, tuple[str, str]] = {}
    for entry in imports:
        reading = (entry["context"], entry["read_as_of"])
        if read_with.get(entry["sha256"], reading) != reading:
            yield run
            run, read_with = [], {}
        run.append(entry)
        read_with[entry["sha256"]] = reading
    yield run


def _offer(archive: Path, entry: journal.Entry) -> Offer:
    context = context_of(entry["context"], date.fromisoformat(entry["read_as_of"]))
    path = archived(archive, entry["sha256"])
    return Offer(entry["file"], path, context, entry["context"], datetime.fromisoformat(entry["imported_at"]))


def _refuse_damaged(archive: Path, entries: Iterable[journal.Entry]) -> None:
    names = {entry["sha256"]: entry["file"] for entry in entries if entry["event"] == "import"}
    damaged = [file for sha256, file in names.items() if not _whole(archived(archive, sha256), sha256)]
    if damaged:
        raise WarehouseError(
            f"the archived copy is missing or damaged of: {', '.join(sorted(damaged))}. Import the original "
            "of each again (which puts the archive right), then rebuild; the warehouse was left as it is"
        )


def _whole(path: Path, sha256: str) -> bool:
    return path.exists() and sha256_of_file(path) == sha256


def _remove_database(path: Path, keep: bool = False) -> None:
    """Remove a database's log, which belongs to that file alone, and the file itself unless it is kept."""
    path.with_name(f"{path.name}.wal").unlink(missing_ok=True)
    if not keep:
        path.unlink(missing_ok=True)
