"""One large file in pieces, by the same rules as a small one, in memory that does not grow with it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import partial
from itertools import chain
from typing import BinaryIO

from pipelines.imports import catalogue
from pipelines.imports.columnar import read_clean
from pipelines.imports.context import Context
from pipelines.imports.opening import Plan, open_file
from pipelines.imports.parsed import Parsed, refused
from pipelines.imports.problems import RefusedError
from pipelines.imports.read import (
    last_line,
    lines_of,
    parse_text,
    parsed_rows,
    read_lines,
    require_rows,
    with_problems,
)
from pipelines.imports.rows import Rows
from pipelines.imports.running import Apply, Run, here
from pipelines.imports.stream import PIECE_BYTES, Numbered, text_pieces
from pipelines.imports.suspicion import Sessions, add_sessions, all_same, sessions_of


@dataclass(frozen=True, slots=True)
class Piece:
    """Some lines of a file as read, and what must be held against its other pieces."""

    parsed: Parsed
    sessions: Sessions
    ambiguous: bool
    month_first: int | None


def parse_chunks(
    stream: BinaryIO, context: Context, *, size: int = PIECE_BYTES, apply: Apply = map, run: Run = here
) -> Iterator[Parsed]:
    """Read one large file in pieces of about `size` bytes.

    The pieces together say what `parse` would, except that a ewe or a count given twice is noticed only
    within a piece. When one of them has `kind` `None`, the file is refused whole: discard what came before.
    `apply` may read several pieces at once, as `ahead` does; pieces about which there is something to say are
    read by `run`.
    """
    try:
        yield from _parse_pieces(text_pieces(stream, size), context, apply, run)
    except RefusedError as refusal:
        yield refused(refusal.problems, refusal.recognised)


def _parse_pieces(texts: Iterator[Numbered], context: Context, apply: Apply, run: Run) -> Iterator[Parsed]:
    first = next(texts)
    plan, problems = open_file(lines_of(first[1]), context)
    if plan.kind == "register":
        yield parse_text("".join(text for _, text in chain((first,), texts)), context)
        return
    seen = _Seen()
    for piece in apply(partial(_read_piece, plan, run), chain((first,), texts)):
        seen.add(piece)
        yield with_problems(piece.parsed, problems)
        problems = []
    end = Parsed("scores", plan.layout, piece.parsed.table.slice(0, 0), recognised=plan.headings.recognised)
    yield require_rows(seen.read, with_problems(end, all_same(seen.sessions)))


def _read_piece(plan: Plan, run: Run, piece: Numbered) -> Piece:
    line, text = piece
    if line == 1:
        line, text = line + plan.start, text.split("\n", plan.start)[-1]
    rows = read_clean(plan, text, line)
    if rows is None:
        return run(_read_each, plan, line, text)
    return _piece(parsed_rows(plan, rows, ()), rows)


def _read_each(plan: Plan, line: int, text: str) -> Piece:
    lines = lines_of(text)
    rows, parsed = read_lines(plan, lines, line)
    return _piece(with_problems(parsed, last_line(plan, text, rows, line + len(lines) - 1)), rows)


def _piece(parsed: Parsed, rows: Rows) -> Piece:
    return Piece(parsed, sessions_of(parsed.table), rows.ambiguous, rows.month_first)


@dataclass(slots=True)
class _Seen:
    """What the pieces so far must be held against: small, however long the file."""

    read: int = 0
    sessions: Sessions = field(default_factory=dict)
    ambiguous: bool = False
    month_first: int | None = None

    def add(self, piece: Piece) -> None:
        """Raises `RefusedError` when the dates turn out to be written both ways."""
        self.read += piece.parsed.rows_read
        add_sessions(self.sessions, piece.sessions)
        self.ambiguous = self.ambiguous or piece.ambiguous
        self.month_first = self.month_first or piece.month_first
        if self.month_first is not None and self.ambiguous:
            raise RefusedError(catalogue.DATES_MIXED(line=self.month_first).at(self.month_first))
