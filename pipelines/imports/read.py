"""One client file from bytes to accepted rows and problems. Pure: no clock, no disk, no database."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import chain
from typing import BinaryIO

from pipelines.imports import catalogue
from pipelines.imports.context import Context
from pipelines.imports.decode import decode
from pipelines.imports.opening import Plan, open_file
from pipelines.imports.options import given_values
from pipelines.imports.parsed import Parsed, refused
from pipelines.imports.problems import Problem, RefusedError
from pipelines.imports.register_rows import check_register
from pipelines.imports.rows import Rows, read_rows
from pipelines.imports.stream import PIECE_BYTES, text_pieces
from pipelines.imports.suspicion import Sessions, all_same, is_plainly_mixed, joined, sessions_of, suspicions
from pipelines.imports.tables import table_of


def parse(content: bytes, context: Context) -> Parsed:
    """Read one client file.

    Every row is accepted as it was written, or named with its line and a remedy; or the file is refused whole
    with the reason. Nothing is raised for bad input.
    """
    try:
        return _parse(decode(content), context)
    except RefusedError as refusal:
        return refused(refusal.problems, refusal.recognised)


def parse_chunks(stream: BinaryIO, context: Context, size: int = PIECE_BYTES) -> Iterator[Parsed]:
    """Read one large file in pieces of about `size` bytes, in memory that does not grow with the file.

    The pieces together say what `parse` would, except that a ewe or a count given twice is noticed only
    within a piece. When one of them has `kind` `None`, the file is refused whole: discard what came before.
    """
    try:
        yield from _parse_pieces(text_pieces(stream, size), context)
    except RefusedError as refusal:
        yield refused(refusal.problems, refusal.recognised)


def _parse(text: str, context: Context) -> Parsed:
    lines = _lines(text)
    plan, problems = open_file(lines, context)
    rows, parsed = _read(plan, lines[plan.start :], plan.start + 1)
    problems += _last_line(plan, text, rows, len(lines))
    if plan.kind == "scores" and not is_plainly_mixed(rows):
        problems += all_same(sessions_of(parsed.table))
    return _require_rows(parsed.rows_read, _with_problems(parsed, problems))


def _parse_pieces(texts: Iterator[str], context: Context) -> Iterator[Parsed]:
    first = next(texts)
    plan, problems = open_file(_lines(first), context)
    if plan.kind == "register":
        yield _parse("".join((first, *texts)), context)
        return
    seen = _Seen(lines=0)
    for text in chain((first,), texts):
        lines = _lines(text)
        skipped = 0 if seen.lines else plan.start
        rows, parsed = _read(plan, lines[skipped:], seen.lines + skipped + 1)
        seen = seen.joined(len(lines), rows, parsed)
        yield _with_problems(parsed, [*problems, *_last_line(plan, text, rows, seen.lines)])
        problems = []
    end = Parsed("scores", plan.layout, parsed.table.slice(0, 0), recognised=plan.headings.recognised)
    yield _require_rows(seen.read, _with_problems(end, all_same(seen.sessions)))


def _read(plan: Plan, lines: Sequence[str], first_line: int) -> tuple[Rows, Parsed]:
    """Read the rows that stand on `lines`, which begin on line `first_line` of the file."""
    rows = read_rows(plan, lines, first_line)
    if plan.kind == "register":
        rows = check_register(rows)
    odd = suspicions(rows) if plan.kind == "scores" else []
    parsed = Parsed(
        plan.kind,
        plan.layout,
        table_of(plan, rows, given_values(plan.context)),
        (*rows.problems, *odd),
        rows.read,
        rows.read - rows.refused,
        rows.refused,
        plan.headings.recognised,
    )
    return rows, parsed


@dataclass(frozen=True, slots=True)
class _Seen:
    """What the pieces so far must be held against: small, however long the file."""

    lines: int
    read: int = 0
    sessions: Sessions = field(default_factory=dict)
    ambiguous: bool = False
    month_first: int | None = None

    def joined(self, lines: int, rows: Rows, parsed: Parsed) -> _Seen:
        """With one more piece. Raises `RefusedError` when the dates turn out to be written both ways."""
        month_first = self.month_first or rows.month_first
        ambiguous = self.ambiguous or rows.ambiguous
        if month_first is not None and ambiguous:
            raise RefusedError(catalogue.DATES_MIXED(line=month_first).at(month_first))
        sessions = joined(self.sessions, sessions_of(parsed.table))
        return _Seen(self.lines + lines, self.read + parsed.rows_read, sessions, ambiguous, month_first)


def _lines(text: str) -> list[str]:
    lines = text.split("\n")
    if not lines[-1]:
        lines.pop()
    return lines


def _last_line(plan: Plan, text: str, rows: Rows, last: int) -> list[Problem]:
    """A warning when the file ends within an accepted row whose last cell may have been longer."""
    if text.endswith("\n") or not rows.lines or rows.lines[-1] != last:
        return []
    cell = text[text.rfind("\n") + 1 :].rsplit(plan.delimiter, 1)[-1].strip()
    complete = plan.headings.columns[-1] == "score" and not cell.isdigit()
    return [] if complete or cell.endswith('"') else [catalogue.LAST_LINE_CUT(cell).at(last)]


def _require_rows(read: int, parsed: Parsed) -> Parsed:
    if read == 0:
        raise RefusedError(*parsed.problems, catalogue.NO_ROWS().at(None), recognised=parsed.recognised)
    return parsed


def _with_problems(parsed: Parsed, more: Sequence[Problem]) -> Parsed:
    """The same with `more` problems, all in the order of their lines."""
    problems = sorted((*more, *parsed.problems), key=lambda problem: problem.line or 0)
    return replace(parsed, problems=tuple(problems))
