"""The import report: what became of every file, and every problem with its place and its remedy."""

from __future__ import annotations

from collections.abc import Mapping, Sequence, Set
from contextlib import closing
from dataclasses import dataclass, replace
from pathlib import Path

from pipelines.warehouse.alike import UNKNOWN, did_you_mean
from pipelines.warehouse.difference import Difference
from pipelines.warehouse.intake import Taken
from pipelines.warehouse.offers import what_was_told
from pipelines.warehouse.snapshot import Snapshot


@dataclass(frozen=True, slots=True)
class Trouble:
    """One published problem of one file."""

    file: str
    line: int | None
    column: str | None
    code: str
    severity: str
    value: str | None
    message: str

    def place(self) -> str:
        """`file:line:column`, as far as known."""
        return ":".join(str(part) for part in (self.file, self.line, self.column) if part is not None)


@dataclass(frozen=True, slots=True)
class Outcome:
    """What became of one file. `standing` says what this run did, `status` what the published tables say."""

    file: str
    standing: str
    status: str
    rows_read: int
    rows_accepted: int
    rows_refused: int
    note: str = ""


@dataclass(frozen=True, slots=True)
class ImportReport:
    """One run of `tupping import`."""

    files: tuple[Outcome, ...]
    problems: tuple[Trouble, ...]
    left_alone: tuple[Path, ...]
    generation: int
    difference: Difference | None = None

    def something_refused(self) -> bool:
        """Whether anything that was offered does not count: the exit status is 1 then."""
        return bool(self.left_alone) or any(
            outcome.rows_refused or outcome.status in ("refused", "unreadable", "changed")
            for outcome in self.files
        )


def published_outcomes(
    home: Path, taken: Sequence[Taken], only_farms: Set[str] | None = None
) -> tuple[tuple[Outcome, ...], tuple[Trouble, ...]]:
    """What the published tables say of these files, in the order offered.

    Whoever may see `only_farms` is told of no other that may have been meant.
    """
    names, contents = [item.file for item in taken], [item.sha256 for item in taken]
    with closing(Snapshot(home)) as snapshot, snapshot.cursor() as cursor:
        files = cursor.execute(
            """
            select file, sha256, given, status, rows_read, rows_accepted, rows_refused
            from import_file where file in (select unnest(?)) order by file, sha256, given
            """,
            [names],
        ).fetchall()
        problems = cursor.execute(
            """
            select file, sha256, given, line, "column", code, severity, value, message
            from import_problem where file in (select unnest(?)) and sha256 in (select unnest(?))
            """,
            [names, contents],
        ).fetchall()
        farms = dict(cursor.execute("select farm, name from farm_season order by season").fetchall())
    if only_farms is not None:
        farms = {farm: name for farm, name in farms.items() if farm in only_farms}
    records: dict[tuple[str, str | None], list[_Record]] = {}
    for file, sha256, *rest in files:
        records.setdefault((file, sha256), []).append(_Record(*rest))
    meant = [_meant(item, records.get((item.file, item.sha256), [])) for item in taken]
    of_these = {
        (item.file, item.sha256, record.given) for item, record in zip(taken, meant, strict=True) if record
    }
    return (
        tuple(_outcome(item, record) for item, record in zip(taken, meant, strict=True)),
        tuple(_asked_after(Trouble(row[0], *row[3:]), farms) for row in problems if row[:3] in of_these),
    )


def _asked_after(trouble: Trouble, farms: Mapping[str, str]) -> Trouble:
    """With the question which farm is meant, where one is in no register."""
    meant = did_you_mean(trouble.value or "", farms) if trouble.code == UNKNOWN else ""
    return replace(trouble, message=f"{trouble.message} {meant}") if meant else trouble


@dataclass(frozen=True, slots=True)
class _Record:
    """One record of a file's bytes, and what was given with them."""

    given: str
    status: str
    rows_read: int
    rows_accepted: int
    rows_refused: int


def _meant(taken: Taken, records: Sequence[_Record]) -> _Record | None:
    """The record of what was offered now: the same bytes given with another day have another."""
    told = what_was_told(taken.told)
    same = [record for record in records if what_was_told(record.given) == told]
    return next(iter([*same, *records]), None)


def _outcome(taken: Taken, record: _Record | None) -> Outcome:
    if record is None:  # never reached the ledger, or goes by another name there
        return Outcome(taken.file, taken.standing, taken.standing, 0, 0, 0, taken.note)
    counted = (record.rows_read, record.rows_accepted, record.rows_refused)
    return Outcome(taken.file, taken.standing, record.status, *counted, taken.note)
