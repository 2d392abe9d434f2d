"""One large file: read in pieces on every core, inserted as they come; memory does not grow with it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from io import BufferedReader, FileIO
from pathlib import Path

from pipelines.imports import ahead, parse, parse_chunks
from pipelines.imports.context import Context
from pipelines.imports.parsed import Parsed
from pipelines.warehouse import recording
from pipelines.warehouse.crash import crash_point
from pipelines.warehouse.elsewhere import Elsewhere
from pipelines.warehouse.reading import WORKERS, Read, numbered
from pipelines.warehouse.writer import Connection

# A file of this size takes some hundred megabytes while it is read whole.
LARGE_BYTES = 32 << 20
INSERT_ROWS = 500_000  # see `intake.COMMIT_ROWS`
_PIECES_AHEAD = 3


def insert(
    connection: Connection, path: Path, file_id: int, context: Context, progress: Callable[[int], None]
) -> Read:
    """Read the archived file and add its rows and problems; the caller holds the transaction.

    Returns what became of it, for the ledger; of its problems only some, as a mark that there are any.
    """
    found = Read(file_id, None, None, (), 0, 0, 0)
    with (
        _Watched(path, progress) as file,
        ThreadPoolExecutor(WORKERS) as threads,
        Elsewhere(WORKERS) as run,
    ):
        pieces = parse_chunks(file, context, apply=ahead(threads, WORKERS * _PIECES_AHEAD), run=run)
        for some in _by_rows(pieces):
            if some[-1].kind is None:  # refused whole: what came before does not count
                recording.forget_rows(connection, file_id)
                found = Read(file_id, None, None, some[-1].problems, 0, 0, 0)
                recording.insert_problems(connection, [found])
                return found
            found = _added(connection, found, some)
            crash_point("during_insert")
    return found


def counts(path: Path, context: Context) -> tuple[int, int, int, int]:
    """Rows read, accepted, refused, and rows of the table that an archived file gives."""
    if path.stat().st_size < LARGE_BYTES:
        return _counts([parse(path.read_bytes(), context)])
    with path.open("rb") as file:
        return _counts(parse_chunks(file, context))


def _counts(pieces: Iterable[Parsed]) -> tuple[int, int, int, int]:
    read = accepted = refused = given = 0
    for piece in pieces:
        if piece.kind is None:
            return 0, 0, 0, 0
        read, accepted = read + piece.rows_read, accepted + piece.rows_accepted
        refused, given = refused + piece.rows_refused, given + piece.table.num_rows
    return read, accepted, refused, given


def _added(connection: Connection, found: Read, pieces: list[Parsed]) -> Read:
    kind = pieces[-1].kind
    if kind is not None:
        tables = [piece.table for piece in pieces if piece.table.num_rows]
        if tables:
            rows = numbered(tables, [found.file_id] * len(tables))
            recording.insert_tables(connection, kind, [rows])
    problems = tuple(problem for piece in pieces for problem in piece.problems)
    recording.insert_problems(connection, [replace(found, problems=problems)])
    return Read(
        found.file_id,
        kind,
        pieces[-1].layout,
        found.problems or problems[:1],
        found.rows_read + sum(piece.rows_read for piece in pieces),
        found.rows_accepted + sum(piece.rows_accepted for piece in pieces),
        found.rows_refused + sum(piece.rows_refused for piece in pieces),
    )


def _by_rows(pieces: Iterable[Parsed]) -> Iterator[list[Parsed]]:
    """Pieces in runs of about `INSERT_ROWS` rows; one that refuses the file ends its run."""
    run: list[Parsed] = []
    for piece in pieces:
        run.append(piece)
        if piece.kind is None or sum(each.rows_accepted for each in run) >= INSERT_ROWS:
            yield run
            run = []
    if run:
        yield run


class _Watched(BufferedReader):
    """A file that tells how many bytes are read of it."""

    def __init__(self, path: Path, progress: Callable[[int], None]) -> None:
        super().__init__(FileIO(path))
        self._progress = progress

    def read(self, size: int | None = -1, /) -> bytes:
        content = super().read(size)
        self._progress(len(content))
        return content
