"""The ledger of files: what is already known of one, and what becomes of an offer."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import pyarrow as pa

from pipelines.warehouse.offers import Offer, record_name, what_was_told
from pipelines.warehouse.writer import Connection

LIVE = ("imported", "imported_with_problems", "refused")


@dataclass(frozen=True, slots=True)
class Known:
    """A ledger row."""

    file_id: int
    file: str
    sha256: str
    kind: str | None
    status: str
    context_json: str
    read_as_of: date
    rows_accepted: int
    rows_refused: int

    @property
    def record(self) -> str:
        """What names this row alone, whatever else was given with the same bytes."""
        return record_name(self.sha256, self.context_json)


Standing = Literal["new", "again", "unchanged", "duplicate", "withdrawn", "superseded"]


@dataclass(frozen=True, slots=True)
class Decision:
    """What becomes of an offer. `holder` is the ledger row that has this content already."""

    standing: Standing
    holder: Known | None = None


def decide(offer: Offer, same_content: Sequence[Known]) -> Decision:
    """What becomes of an offer, given every ledger row of the same bytes.

    A file that was refused, wholly or in part, is read again when it is offered on a later day, or with
    other headings: what was wrong may have been put right. The same bytes told to be of another farm, day
    or group are another record, unless nothing was accepted from them before.
    """
    holder = holder_of(offer, same_content)
    if holder is None:
        return Decision("new")
    if holder.status == "withdrawn":
        return Decision("withdrawn", holder)
    if holder.status == "superseded":
        return Decision("superseded", holder)
    told_otherwise = (holder.context_json, holder.read_as_of) != _read_with(offer)
    if told_otherwise and (holder.kind is None or holder.rows_refused):
        return Decision("again", holder)
    known_names = {known.file for known in same_content}
    return Decision("unchanged" if offer.file in known_names else "duplicate", holder)


def _read_with(offer: Offer) -> tuple[str, date]:
    return offer.told, offer.context.today


def holder_of(offer: Offer, same_content: Sequence[Known]) -> Known | None:
    """The ledger row that holds the rows of this offer's content, if any."""
    told = what_was_told(offer.told)
    for known in same_content:
        nothing_accepted = known.status in LIVE and not known.rows_accepted
        if known.status != "duplicate" and (nothing_accepted or what_was_told(known.context_json) == told):
            return known
    return None


_KNOWN = """
    select file_id, file, sha256, kind, status, context_json, read_as_of, rows_accepted, rows_refused
    from source_file
"""


def known_by_content(connection: Connection, sha256s: Iterable[str]) -> dict[str, list[Known]]:
    """Ledger rows of these contents, oldest first."""
    connection.register("wanted", pa.table({"sha256": pa.array(sorted(set(sha256s)), pa.string())}))
    try:
        rows = connection.execute(_KNOWN + "where sha256 in (from wanted) order by file_id").fetchall()
    finally:
        connection.unregister("wanted")
    found: dict[str, list[Known]] = {}
    for row in rows:
        found.setdefault(row[2], []).append(Known(*row))
    return found


def known_by_id(connection: Connection, file_id: int) -> Known:
    """The ledger row of this number."""
    return Known(*connection.execute(_KNOWN + "where file_id = ?", [file_id]).fetchall()[0])


def known_by_name(connection: Connection, file: str) -> list[Known]:
    """Ledger rows of this name, oldest first."""
    rows = connection.execute(_KNOWN + "where file = ? order by file_id", [file]).fetchall()
    return [Known(*row) for row in rows]


def known_by_sha256(connection: Connection, start: str) -> list[Known]:
    """Ledger rows whose content's name starts so, oldest first."""
    rows = connection.execute(_KNOWN + "where starts_with(sha256, ?) order by file_id", [start]).fetchall()
    return [Known(*row) for row in rows]


def copies_of(connection: Connection, known: Known) -> tuple[str, ...]:
    """Other names under which the same content was offered, in order of name."""
    same = known_by_content(connection, [known.sha256])[known.sha256]
    return tuple(sorted(copy.file for copy in same if copy.status == "duplicate"))


def names_that_count_twice(connection: Connection) -> frozenset[str]:
    """Names under which more than one content counts."""
    rows = connection.execute(
        """
        select file from source_file where status in ('imported', 'imported_with_problems')
        group by file having count(distinct sha256) > 1
        """
    ).fetchall()
    return frozenset(file for (file,) in rows)


def next_file_id(connection: Connection) -> int:
    """First ledger number that is free."""
    ((free,),) = connection.execute("select coalesce(max(file_id), 0) + 1 from source_file").fetchall()
    return int(free)
