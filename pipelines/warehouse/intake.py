"""Import: what is offered → what is new → read → recorded, with rows and ledger in one transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace

from pipelines.warehouse import journal, large, ledger, recording
from pipelines.warehouse.archive import archived, sha256_of_file, store_large
from pipelines.warehouse.crash import crash_point
from pipelines.warehouse.large import LARGE_BYTES
from pipelines.warehouse.ledger import Decision, Known
from pipelines.warehouse.offers import Offer, what_was_told
from pipelines.warehouse.reading import Batch, ToRead, read_all
from pipelines.warehouse.writer import Writer, transaction

# Files are committed together until they have this many rows: a commit per small file would cost more than
# reading it, and of what is inserted at once DuckDB writes whole row groups (122,880) straight to their
# place, but the rest twice.
COMMIT_ROWS = 500_000
_LOOK_UP_FILES = 500

Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of one offer. `standing` as in `ledger.Decision`, or `unreadable` or `changed`."""

    file: str
    sha256: str | None
    standing: str
    note: str = ""


@dataclass(slots=True)
class _Plan:
    """What one import is to do; filled once, before anything is read."""

    to_read: list[ToRead] = field(default_factory=list)
    offers: dict[int, tuple[Offer, str]] = field(default_factory=dict)
    again: dict[int, Known] = field(default_factory=dict)
    copies: list[tuple[Offer, str]] = field(default_factory=list)
    taken: list[Taken] = field(default_factory=list)


def take_in(writer: Writer, offers: Sequence[Offer], progress: Progress = lambda _bytes: None) -> list[Taken]:
    """Archive, read and record every offer that is new; says what became of each.

    Parameters
    ----------
    progress
        Called with the number of bytes done since it was last called.

    """
    plan = _plan(writer, offers)
    changed: set[int] = set()
    small = [item for item in plan.to_read if item.size < LARGE_BYTES]
    for batches in _by_commit(_watched(read_all(writer.places.archive, small), progress)):
        crash_point("after_archive")
        changed |= _commit(writer, plan, batches)
    for item in plan.to_read:
        if item.size >= LARGE_BYTES and not _take_large(writer, plan, item, progress):
            changed.add(item.file_id)
    if plan.copies:
        _commit_copies(writer, plan.copies)
    gone = {plan.offers[number][0].file for number in changed}
    return [_as_changed(taken) if taken.file in gone else taken for taken in plan.taken]


def _plan(writer: Writer, offers: Sequence[Offer]) -> _Plan:
    plan = _Plan()
    number = ledger.next_file_id(writer.connection)
    names_seen: dict[object, set[str]] = {}
    for start in range(0, len(offers), _LOOK_UP_FILES):
        hashed = list(_hashed(offers[start : start + _LOOK_UP_FILES], plan))
        known = ledger.known_by_content(writer.connection, [sha256 for _, sha256, _ in hashed])
        for offer, sha256, content_size in hashed:
            decision = ledger.decide(offer, known.get(sha256, []))
            names = names_seen.setdefault((sha256, what_was_told(offer.told)), set())
            if decision.standing in ("new", "again") and names:  # it is being read already
                decision = Decision("unchanged" if offer.file in names else "duplicate")
            names.add(offer.file)
            _place(writer, plan, (offer, sha256, content_size), decision, number)
            number += 1
    return plan


def _hashed(offers: Sequence[Offer], plan: _Plan) -> Iterator[tuple[Offer, str, int]]:
    for offer in offers:
        try:
            named, size = sha256_of_file(offer.path), offer.path.stat().st_size
        except OSError as error:
            note = f"{error.strerror or error}: check that the file may be read, then import it again"
            plan.taken.append(Taken(offer.file, None, "unreadable", note))
            continue
        yield offer, named, size


def _place(
    writer: Writer, plan: _Plan, offered: tuple[Offer, str, int], decision: Decision, number: int
) -> None:
    offer, sha256, size = offered
    plan.taken.append(Taken(offer.file, sha256, decision.standing, _note(decision)))
    holder = decision.holder
    if decision.standing == "duplicate":
        plan.copies.append((offer, sha256))
    elif decision.standing == "unchanged":
        store_large(writer.places.archive, offer.path, sha256)  # puts right what the disk has damaged
    elif decision.standing == "new" or (decision.standing == "again" and holder is not None):
        chosen = number if holder is None else holder.file_id
        plan.to_read.append(ToRead(chosen, offer.path, size, sha256, offer.context))
        plan.offers[chosen] = (_under_known_name(offer, holder), sha256)
        if holder is not None:
            plan.again[chosen] = holder
            if holder.file != offer.file:
                plan.copies.append((offer, sha256))


def _under_known_name(offer: Offer, holder: Known | None) -> Offer:
    return offer if holder is None else replace(offer, file=holder.file)


def _note(decision: Decision) -> str:
    if decision.holder is None:
        return ""
    file = decision.holder.file
    return {
        "duplicate": f"the same content as {file}; its rows count once",
        "withdrawn": f"this content was withdrawn as {file}; tupping withdraw --undo {file} brings it back",
        "superseded": f"this content, {file}, was replaced by a corrected file; "
        f"tupping withdraw --undo {file} brings it back",
    }.get(decision.standing, "")


def _watched(batches: Iterator[Batch], progress: Progress) -> Iterator[Batch]:
    for batch in batches:
        progress(batch.size)
        yield batch


def _by_commit(batches: Iterator[Batch]) -> Iterator[list[Batch]]:
    gathered: list[Batch] = []
    rows = 0
    for batch in batches:
        gathered.append(batch)
        rows += sum(read.rows_accepted for read in batch.files)
        if rows >= COMMIT_ROWS:
            yield gathered
            gathered, rows = [], 0
    if gathered:
        yield gathered


def _commit(writer: Writer, plan: _Plan, batches: Sequence[Batch]) -> set[int]:
    """Record batches in one transaction; returns the numbers of files that changed under our hands."""
    reads = [read for batch in batches for read in batch.files]
    whole = [read for read in reads if not read.changed]
    journal.append(writer.places.journal, [_journal_entry(*plan.offers[read.file_id]) for read in whole])
    with transaction(writer.connection):
        for read in whole:
            if read.file_id in plan.again:
                recording.replace_reading(writer.connection, read, plan.offers[read.file_id][0])
        recording.insert_rows(writer.connection, batches)
        crash_point("during_insert")
        new = [read for read in whole if read.file_id not in plan.again]
        recording.insert_files(writer.connection, new, plan.offers)
        crash_point("before_commit")
    return {read.file_id for read in reads if read.changed}


def _take_large(writer: Writer, plan: _Plan, item: ToRead, progress: Progress) -> bool:
    """Archive, read and record one large file; false when it changed under our hands."""
    if not store_large(writer.places.archive, item.path, item.sha256):
        return False
    crash_point("after_archive")
    offer, sha256 = plan.offers[item.file_id]
    journal.append(writer.places.journal, [_journal_entry(offer, sha256)])
    with transaction(writer.connection):
        if item.file_id in plan.again:
            recording.forget_rows(writer.connection, item.file_id)
        read = large.insert(writer.connection, archived(writer.places.archive, sha256), item, progress)
        if item.file_id in plan.again:
            recording.restate(writer.connection, read, offer)
        else:
            recording.insert_ledger(writer.connection, [read], plan.offers)
        crash_point("before_commit")
    return True


def _commit_copies(writer: Writer, copies: Sequence[tuple[Offer, str]]) -> None:
    journal.append(writer.places.journal, [_journal_entry(*copy) for copy in copies])
    with transaction(writer.connection):
        known = ledger.known_by_content(writer.connection, [sha256 for _, sha256 in copies])
        for offer, sha256 in copies:
            if sha256 in known:  # not so when the first copy changed while it was read
                recording.record_duplicate(writer.connection, offer, sha256)


def _journal_entry(offer: Offer, sha256: str) -> journal.Entry:
    return {
        "event": "import",
        "file": offer.file,
        "sha256": sha256,
        "imported_at": offer.offered_at.isoformat(),
        "read_as_of": offer.context.today.isoformat(),
        "context": offer.told,
    }


def _as_changed(taken: Taken) -> Taken:
    note = "the file changed while it was being read, so nothing was taken from it: import it again"
    return replace(taken, standing="changed", note=note)
