"""Import: what is offered → what is new → read → recorded, with rows and ledger in one transaction."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace

import pyarrow as pa

from pipelines.warehouse import journal, large, ledger, recording
from pipelines.warehouse.archive import archived, settle, sha256_of, sha256_of_file, store
from pipelines.warehouse.crash import crash_point
from pipelines.warehouse.large import LARGE_BYTES
from pipelines.warehouse.ledger import Decision, Known
from pipelines.warehouse.offers import Offer, what_was_told
from pipelines.warehouse.reading import Batch, Stamp, ToRead, read_all, stamp
from pipelines.warehouse.writer import Writer, make_room, transaction

# Files of at most so many rows are committed together: a commit per small file would cost more than reading
# it, and more rows at once would cost memory. Two of DuckDB's row groups, as near as files allow: whole ones
# are written straight to their place, and nearly full ones are not put together with others later.
COMMIT_ROWS = 2 * 122_880
# So many offers are opened and looked up in the ledger at once.
_LOOK_UP_FILES, _LOOK_UP_BYTES = 500, 8 << 20

Progress = Callable[[int], None]


@dataclass(frozen=True, slots=True)
class Taken:
    """What became of one offer.

    `standing` as in `ledger.Decision`, or `unreadable` or `changed`; `told`: what was given with it, as
    `context_json` has it.
    """

    file: str
    sha256: str | None
    standing: str
    note: str
    told: str


@dataclass(frozen=True, slots=True)
class _Opened:
    """An offer, the name of its content and, unless it is large, the content; when it was last written to."""

    offer: Offer
    sha256: str
    content: bytes | None
    stamp: Stamp


@dataclass(slots=True)
class _Plan:
    """What one import does with its offers; filled as they are opened."""

    offers: dict[int, tuple[Offer, str]] = field(default_factory=dict)
    again: dict[int, Known] = field(default_factory=dict)
    large: list[int] = field(default_factory=list)
    copies: list[tuple[Offer, str]] = field(default_factory=list)
    taken: list[Taken] = field(default_factory=list)


def take_in(writer: Writer, offers: Sequence[Offer], progress: Progress = lambda _bytes: None) -> list[Taken]:
    """Archive, read and record every offer that is new; says what became of each.

    Parameters
    ----------
    progress
        Called with the number of bytes done since it was last called.

    """
    plan = _Plan()
    small = _new_ones(writer, plan, offers)
    changed: set[int] = set()
    for batches in _by_commit(_watched(read_all(writer.places.archive, small), progress)):
        changed |= _commit(writer, plan, batches)
        batches.clear()  # nobody is to hold their rows while the next are read
        make_room(writer.connection)
    changed |= {number for number in plan.large if not _take_large(writer, plan, number, progress)}
    if plan.copies:
        _commit_copies(writer, plan.copies)
    pa.default_memory_pool().release_unused()  # Arrow keeps some hundred megabytes that others need now
    gone = {plan.offers[number][0].file for number in changed}
    return [_as_changed(taken) if taken.file in gone else taken for taken in plan.taken]


def _new_ones(writer: Writer, plan: _Plan, offers: Sequence[Offer]) -> Iterator[ToRead]:
    """Decides on every offer and gives those to be read, opened no sooner than they are asked for."""
    first = number = ledger.next_file_id(writer.connection)
    # names by content and by what was told of it: of thousands of files nearly all have but one
    first_name: dict[object, str] = {}
    other_names: set[tuple[object, str]] = set()
    for opened in _some_at_once(offers, plan):
        same = ledger.known_by_content(writer.connection, [one.sha256 for one in opened])
        for one in opened:
            name, content = one.offer.file, (one.sha256, what_was_told(one.offer.told))
            if content in first_name:
                known = name == first_name[content] or (content, name) in other_names
                decision = Decision("unchanged" if known else "duplicate")
                other_names.add((content, name))
            else:  # as things were before this import: how much of it is recorded by now is chance
                before = [known for known in same.get(one.sha256, ()) if known.file_id < first]
                decision = ledger.decide(one.offer, before)
                if decision.standing in ("new", "again"):
                    first_name[content] = name
            yield from _place(writer, plan, one, decision, number)
            number += 1


def _some_at_once(offers: Iterable[Offer], plan: _Plan) -> Iterator[list[_Opened]]:
    """Offers opened in groups, small enough to be held together; those that cannot be read are noted."""
    group: list[_Opened] = []
    size = 0
    for offer in offers:
        try:
            group.append(_opened(offer))
        except OSError as error:
            note = f"{error.strerror or error}: check that the file may be read, then import it again"
            plan.taken.append(Taken(offer.file, None, "unreadable", note, offer.told))
            continue
        size += len(group[-1].content or b"")
        if len(group) == _LOOK_UP_FILES or size > _LOOK_UP_BYTES:
            yield group
            group, size = [], 0
    yield group


def _opened(offer: Offer) -> _Opened:
    opened_at = stamp(offer.path)
    if opened_at[0] >= LARGE_BYTES:
        return _Opened(offer, sha256_of_file(offer.path), None, opened_at)
    content = offer.path.read_bytes()
    return _Opened(offer, sha256_of(content), content, opened_at)


def _place(writer: Writer, plan: _Plan, opened: _Opened, decision: Decision, number: int) -> Iterator[ToRead]:
    offer, sha256 = opened.offer, opened.sha256
    plan.taken.append(Taken(offer.file, sha256, decision.standing, _note(decision), offer.told))
    holder = decision.holder
    if decision.standing == "duplicate":
        plan.copies.append((offer, sha256))
    elif decision.standing == "unchanged":
        store(writer.places.archive, offer.path, sha256)  # puts right what the disk has damaged
    elif decision.standing == "new" or (decision.standing == "again" and holder is not None):
        chosen = number if holder is None else holder.file_id
        plan.offers[chosen] = (_under_known_name(offer, holder), sha256)
        if holder is not None:
            plan.again[chosen] = holder
            if holder.file != offer.file:
                plan.copies.append((offer, sha256))
        if opened.content is None:
            plan.large.append(chosen)
        else:
            yield ToRead(chosen, offer.path, opened.content, sha256, offer.context, opened.stamp)


def _under_known_name(offer: Offer, holder: Known | None) -> Offer:
    return offer if holder is None else replace(offer, file=holder.file)


def _note(decision: Decision) -> str:
    if decision.holder is None:
        return ""
    file = decision.holder.file
    return {
        "duplicate": f"the same content as {file}; its rows count once",
        "withdrawn": f'this content was withdrawn as {file}; tupping withdraw --undo "{file}" brings it back',
        "superseded": f"this content, {file}, was replaced by a corrected file; "
        f'tupping withdraw --undo "{file}" brings it back',
    }.get(decision.standing, "")


def _watched(batches: Iterator[Batch], progress: Progress) -> Iterator[Batch]:
    for batch in batches:
        progress(batch.size)
        yield batch


def _by_commit(batches: Iterator[Batch]) -> Iterator[list[Batch]]:
    """Batches of at most `COMMIT_ROWS` rows together; one that has more goes alone."""
    gathered: list[Batch] = []
    rows = 0
    for batch in batches:
        more = sum(read.rows_accepted for read in batch.files)
        if gathered and rows + more > COMMIT_ROWS:
            yield gathered
            gathered, rows = [], 0
        gathered.append(batch)
        rows += more
    if gathered:
        yield gathered


def _commit(writer: Writer, plan: _Plan, batches: Sequence[Batch]) -> set[int]:
    """Settle and record batches in one transaction; returns the numbers of files changed under our hands."""
    settle([path for batch in batches for path in batch.laid_down])
    crash_point("after_archive")
    read = [read for batch in batches for read in batch.files]
    whole = [one for one in read if not one.changed]
    journal.append(writer.places.journal, [_journal_entry(*plan.offers[one.file_id]) for one in whole])
    with transaction(writer.connection):
        for one in whole:
            if one.file_id in plan.again:
                recording.replace_reading(writer.connection, one, plan.offers[one.file_id][0])
        recording.insert_rows(writer.connection, batches)
        crash_point("during_insert")
        new = [one for one in whole if one.file_id not in plan.again]
        recording.insert_files(writer.connection, new, plan.offers)
        crash_point("before_commit")
    return {one.file_id for one in read if one.changed}


def _take_large(writer: Writer, plan: _Plan, file_id: int, progress: Progress) -> bool:
    """Archive, read and record one large file; false when it changed under our hands."""
    offer, sha256 = plan.offers[file_id]
    if not store(writer.places.archive, offer.path, sha256):
        return False
    crash_point("after_archive")
    journal.append(writer.places.journal, [_journal_entry(offer, sha256)])
    path = archived(writer.places.archive, sha256)
    with transaction(writer.connection):
        if file_id in plan.again:
            recording.forget_rows(writer.connection, file_id)
        read = large.insert(writer.connection, path, file_id, offer.context, progress)
        if file_id in plan.again:
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
