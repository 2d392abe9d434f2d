"""`tupping check`: is every archived byte what it was, and does the warehouse hold what it says?"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import NamedTuple

from pipelines.settings import Settings
from pipelines.warehouse import large, recording
from pipelines.warehouse.archive import archived, sha256_of_file
from pipelines.warehouse.lock import DEFAULT_WAIT_SECONDS
from pipelines.warehouse.offers import context_of
from pipelines.warehouse.writer import Connection, Writer, open_existing


@dataclass(frozen=True, slots=True)
class Fault:
    """Something that is not as it should be, and what to do."""

    file: str
    what: str


@dataclass(frozen=True, slots=True)
class CheckReport:
    """What `check` looked at and what it found."""

    files: int
    rows: int
    faults: tuple[Fault, ...]


class _Held(NamedTuple):
    file: str
    sha256: str
    context_json: str
    read_as_of: date
    rows_read: int
    rows_accepted: int
    rows_refused: int
    stored: int


def check(settings: Settings, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> CheckReport:
    """Compare archive, ledger and rows: checksum, counts as parsed anew, rows stored."""
    with open_existing(settings.home, wait_seconds) as writer:
        held = _held(writer.connection)
        faults = [fault for one in held for fault in _faults_of(writer.places.archive, one)]
        faults += _strays(writer)
    return CheckReport(len(held), sum(one.stored for one in held), tuple(faults))


def _held(connection: Connection) -> list[_Held]:
    """Every ledger row but the copies, with the number of rows that it has in the warehouse."""
    rows = connection.execute(
        """
        with stored as (
            select file_id, count(*) as n_rows
            from (select file_id from score_row union all select file_id from register_row) as r
            group by file_id
        )
        select f.file, f.sha256, f.context_json, f.read_as_of,
               f.rows_read, f.rows_accepted, f.rows_refused, coalesce(s.n_rows, 0)
        from source_file f left join stored s on s.file_id = f.file_id
        where f.status <> 'duplicate' order by f.file, f.file_id
        """
    ).fetchall()
    return [_Held(*row) for row in rows]


def _faults_of(archive: Path, held: _Held) -> Iterator[Fault]:
    path = archived(archive, held.sha256)
    if not path.exists():
        yield Fault(held.file, f"is missing from the archive ({path}): import the original file again")
        return
    if sha256_of_file(path) != held.sha256:
        yield Fault(
            held.file,
            f"has changed in the archive ({path}), its checksum no longer fits: import the original file "
            "again, which puts the archived copy right",
        )
        return
    *counts, given = large.counts(path, context_of(held.context_json, held.read_as_of))
    noted = held.rows_read, held.rows_accepted, held.rows_refused
    if tuple(counts) != noted:
        yield Fault(
            held.file,
            f"reads as {_counted(*counts)} now, the ledger says {_counted(*noted)}: run tupping rebuild",
        )
    if given != held.stored:
        yield Fault(
            held.file,
            f"gives {given} rows, the warehouse holds {held.stored}: run tupping rebuild",
        )


def _counted(read: int, accepted: int, refused: int) -> str:
    return f"{read} rows read, {accepted} accepted, {refused} refused"


def _strays(writer: Writer) -> list[Fault]:
    """Rows that no ledger entry owns."""
    rows = " union all ".join(f"select file_id from {table}" for table in recording.OF_A_FILE)  # noqa: S608
    ((strays,),) = writer.connection.execute(
        f"select count(*) from ({rows}) as r where file_id not in "  # noqa: S608 the tables are ours
        "(select file_id from source_file where status <> 'duplicate')"
    ).fetchall()
    if strays:
        return [Fault("warehouse", f"holds {strays} rows of no known file: run tupping rebuild")]
    return []
