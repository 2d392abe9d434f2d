"""`tupping import` as a function: find, take in, replace where asked, publish, report."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence, Set
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time
from pathlib import Path

from pipelines.imports.context import Context
from pipelines.imports.headings import alias_problem
from pipelines.imports.preview import farms_named
from pipelines.settings import Settings
from pipelines.warehouse import corrections, ledger, mappings
from pipelines.warehouse.archive import sha256_of_file
from pipelines.warehouse.difference import Difference
from pipelines.warehouse.errors import NotYoursError, WrongUseError
from pipelines.warehouse.intake import Progress, Taken, take_in
from pipelines.warehouse.lock import DEFAULT_WAIT_SECONDS
from pipelines.warehouse.offers import Offer, context_json, find_files
from pipelines.warehouse.publish import publish_if_stale
from pipelines.warehouse.report import ImportReport, published_outcomes
from pipelines.warehouse.writer import Writer, open_writer

StartProgress = Callable[[int], Progress]


@dataclass(frozen=True, slots=True)
class Given:
    """What the adviser says of the files on the command line or on the Files page.

    `headings` are remembered for the files of `remember_for` (else of `farm`, else of every farm).
    `only_farms`: the farms whose files this visitor may bring in; None is every farm.
    """

    farm: str | None = None
    scored_on: date | None = None
    group: str | None = None
    headings: Mapping[str, str] = field(default_factory=dict)
    supersede: str | None = None
    remember_for: str | None = None
    only_farms: Set[str] | None = None


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
        Nothing to import, a heading that is said to be no column of ours, or a file to supersede that is
        not there.
    WarehouseBusyError
        Another process writes.
    WarehouseError
        The disk is full, or the data folder cannot be written to.

    """
    given = given or Given()
    if problem := alias_problem(given.headings):  # remembered, it would refuse every later file
        raise WrongUseError(problem.message)
    files, left_alone = find_files(paths)
    if given.supersede and len(files) != 1:
        raise WrongUseError(f"--supersede replaces one file by one file; {len(files)} were named")
    with open_writer(settings.home, wait_seconds) as writer:
        replaced = _to_replace(writer, given, files)
        offers = _offers(writer, files, settings, given)
        total = sum(path.stat().st_size for path in files.values() if path.exists())
        progress = start_progress(total) if start_progress else _silent
        taken = _with_namesakes(writer, take_in(writer, offers, progress), given)
        changes = _supersede(writer, replaced, taken[0]) if replaced else None
        generation = publish_if_stale(writer, settings)
    outcomes, problems = published_outcomes(settings.home, taken, given.only_farms)
    return ImportReport(outcomes, problems, left_alone, generation, changes)


def _silent(_done: int) -> None:
    """Progress that nobody watches."""


def how_to_read(saved: mappings.Saved, content: bytes, settings: Settings, given: Given) -> Context:
    """How a file is read: today, what is given with it, and the headings that are named for its farm."""
    context = Context(settings.today(), given.farm, given.scored_on, given.group, settings.headings)
    return saved.for_file(content, context, given.headings)


def require_own_farms(content: bytes, context: Context, given: Given) -> None:
    """Raise `NotYoursError` when the file names a farm that this visitor may not bring files in for."""
    if given.only_farms is None:
        return
    named = farms_named(content, context) | ({context.farm} if context.farm else set())
    if others := sorted(named - given.only_farms):
        raise NotYoursError(
            f"this file names {', '.join(others[:3])}, and your account may bring in files of "
            f"{', '.join(sorted(given.only_farms))} alone. Nothing was taken: take the other rows out, or "
            "ask the practice to import it"
        )


def _offers(writer: Writer, files: Mapping[str, Path], settings: Settings, given: Given) -> list[Offer]:
    saved = mappings.saved(writer)
    # As of a chosen day the same import gives the same tables to the byte, whenever it is run.
    now = (
        datetime.combine(settings.as_of, time()) if settings.as_of else datetime.now().replace(microsecond=0)
    )
    offers = []
    alike: dict[str, tuple[str, Context]] = {}  # thousands of files share one way of being read
    for name, path in files.items():
        content = _content(path) if saved.by_farm or given.only_farms is not None else b""
        context = how_to_read(saved, content, settings, given)
        require_own_farms(content, context, given)
        told = context_json(context)
        told, context = alike.setdefault(told, (told, context))
        offers.append(Offer(name, path, context, told, now))
    farm = given.remember_for or given.farm
    if farm or given.only_farms is None:  # nobody names headings for farms that are not theirs
        mappings.save(writer, farm, given.headings)
    return offers


def _content(path: Path) -> bytes:
    """The bytes of a file; none when it cannot be read, which is reported when it is taken in."""
    try:
        return path.read_bytes()
    except OSError:
        return b""


def _with_namesakes(writer: Writer, taken: list[Taken], given: Given) -> list[Taken]:
    """A note on every new file whose name another file that counts has too, unless it is to be replaced."""
    if given.supersede:
        return taken
    twice = ledger.names_that_count_twice(writer.connection)
    note = (
        "another file of this name, with other content, counts as well. If this one corrects it: "
        'tupping import "{0}" --supersede CHECKSUM, where tupping export import_file names the checksums'
    )
    return [
        replace(one, note=note.format(one.file)) if one.standing == "new" and one.file in twice else one
        for one in taken
    ]


def _to_replace(writer: Writer, given: Given, files: Mapping[str, Path]) -> ledger.Known | None:
    """The file to be replaced, looked up before anything is imported."""
    if given.supersede is None:
        return None
    (path,) = files.values()
    sha256 = sha256_of_file(path)
    return corrections.find_replaced(writer.connection, given.supersede, sha256, given.only_farms)


def _supersede(writer: Writer, old: ledger.Known, taken: Taken) -> Difference | None:
    """Replace `old` by what was taken in; a file that was refused replaces nothing."""
    same = ledger.known_by_content(writer.connection, [taken.sha256 or ""]).get(taken.sha256 or "", [])
    new = next((known for known in same if known.status in ledger.LIVE), None)
    if new is None or new.kind is None:
        return None
    return corrections.supersede(writer, old, new)
