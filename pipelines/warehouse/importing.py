"""`tupping import` as a function: find, take in, replace where asked, publish, report."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, time
from pathlib import Path

from pipelines.imports.context import Context
from pipelines.settings import Settings
from pipelines.warehouse import corrections, ledger, mappings
from pipelines.warehouse.archive import sha256_of
from pipelines.warehouse.difference import Difference
from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.intake import Progress, Taken, take_in
from pipelines.warehouse.lock import DEFAULT_WAIT_SECONDS
from pipelines.warehouse.offers import Offer, context_json, find_files
from pipelines.warehouse.publish import publish_if_stale
from pipelines.warehouse.report import ImportReport, published_outcomes
from pipelines.warehouse.writer import Writer, open_writer

StartProgress = Callable[[int], Progress]


@dataclass(frozen=True, slots=True)
class Given:
    """What the adviser says of the files on the command line or on the Files page."""

    farm: str | None = None
    scored_on: date | None = None
    group: str | None = None
    headings: Mapping[str, str] = field(default_factory=dict)
    supersede: str | None = None


def import_paths(
    paths: Sequence[Path],
    settings: Settings,
    given: Given | None = None,
    *,
    wait_seconds: float = DEFAULT_WAIT_SECONDS,
    start_progress: StartProgress | None = None,
) -> ImportReport:
    """Import files and folders, publish, and report.

    Parameters
    ----------
    paths
        Files and folders; folders are looked through.
    start_progress
        Called once with the total number of bytes; what it returns is called with the bytes done.

    Raises
    ------
    WrongUseError
        Nothing to import, or a file to supersede that is not there.
    WarehouseBusyError
        Another process writes.
    WarehouseError
        The disk is full, or the data folder cannot be written to.

    """
    given = given or Given()
    files, left_alone = find_files(paths)
    if given.supersede and len(files) != 1:
        raise WrongUseError(f"--supersede replaces one file by one file; {len(files)} were named")
    with open_writer(settings.home, wait_seconds) as writer:
        replaced = _to_replace(writer, given.supersede, files)
        offers = _offers(writer, files, settings, given)
        total = sum(path.stat().st_size for path in files.values() if path.exists())
        progress = start_progress(total) if start_progress else _silent
        taken = take_in(writer, offers, progress)
        changes = _supersede(writer, replaced, taken[0]) if replaced else None
        generation = publish_if_stale(writer, settings)
    outcomes, problems = published_outcomes(settings.home, taken)
    return ImportReport(outcomes, problems, left_alone, generation, changes)


def _silent(_done: int) -> None:
    """Progress that nobody watches."""


def _offers(writer: Writer, files: Mapping[str, Path], settings: Settings, given: Given) -> list[Offer]:
    mappings.save(writer, given.farm, given.headings)
    context = Context(
        today=settings.today(),
        farm=given.farm,
        scored_on=given.scored_on,
        group=given.group,
        headings={**settings.headings, **mappings.saved(writer, given.farm)},
    )
    # As of a chosen day the same import gives the same tables to the byte, whenever it is run.
    now = (
        datetime.combine(settings.as_of, time()) if settings.as_of else datetime.now().replace(microsecond=0)
    )
    told = context_json(context)
    return [Offer(name, path, context, told, now) for name, path in files.items()]


def _to_replace(writer: Writer, wanted: str | None, files: Mapping[str, Path]) -> ledger.Known | None:
    """The file to be replaced, looked up before anything is imported."""
    if wanted is None:
        return None
    (path,) = files.values()
    return corrections.find_replaced(writer.connection, wanted, sha256_of(path.read_bytes()))


def _supersede(writer: Writer, old: ledger.Known, taken: Taken) -> Difference | None:
    """Replace `old` by what was taken in; a file that was refused replaces nothing."""
    same = ledger.known_by_content(writer.connection, [taken.sha256 or ""]).get(taken.sha256 or "", [])
    new = next((known for known in same if known.status in ledger.LIVE), None)
    if new is None or new.kind is None:
        return None
    return corrections.supersede(writer, old, new)
