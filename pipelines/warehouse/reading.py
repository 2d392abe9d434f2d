"""Reading offered files: archived, parsed and handed back as Arrow, several at once on every core."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from dataclasses import dataclass
from itertools import islice
from multiprocessing import get_context
from pathlib import Path

import pyarrow as pa

from pipelines.imports import parse_many
from pipelines.imports.context import Context
from pipelines.imports.parsed import Parsed
from pipelines.imports.problems import Problem
from pipelines.warehouse.archive import sha256_of, store

# Starting two fresh interpreters takes about half a second: less than this is read at once.
_WORTH_A_POOL_BYTES = 2_000_000
# One task holds several small files, so that handing over costs little beside reading.
_TASK_BYTES = 1_000_000
_TASK_FILES = 64
# Tasks under way per process: enough to keep it busy, few enough that memory does not grow with the files.
_AHEAD = 3
WORKERS = max(1, os.cpu_count() or 1)


@dataclass(frozen=True, slots=True)
class ToRead:
    """One file to be archived and parsed, with the ledger number its rows will carry."""

    file_id: int
    path: Path
    size: int
    sha256: str
    context: Context


@dataclass(frozen=True, slots=True)
class Read:
    """What parsing made of one file, without its rows; `changed` when it is not what was offered."""

    file_id: int
    kind: str | None
    layout: str | None
    problems: tuple[Problem, ...]
    rows_read: int
    rows_accepted: int
    rows_refused: int
    changed: bool = False


@dataclass(frozen=True, slots=True)
class Batch:
    """Several files read, `size` bytes in all; rows as Arrow IPC streams, `file_id` their first column."""

    files: tuple[Read, ...]
    size: int
    scores: bytes | None
    register: bytes | None


def read_all(archive: Path, wanted: Sequence[ToRead]) -> Iterator[Batch]:
    """Batches as they get ready; every file of a batch is in the archive by then."""
    if sum(item.size for item in wanted) < _WORTH_A_POOL_BYTES:
        yield from (read_batch(archive, task) for task in _tasks(wanted))
        return
    with processes() as pool:
        yield from _read_ahead(pool, archive, _tasks(wanted), WORKERS * _AHEAD)


def processes() -> ProcessPoolExecutor:
    """As many reading processes as there are cores."""
    # 'spawn': a fork would copy the database's threads in an unknown state
    return ProcessPoolExecutor(WORKERS, mp_context=get_context("spawn"))


def _read_ahead(
    pool: ProcessPoolExecutor, archive: Path, tasks: Iterator[tuple[ToRead, ...]], ahead: int
) -> Iterator[Batch]:
    running: set[Future[Batch]] = {pool.submit(read_batch, archive, task) for task in islice(tasks, ahead)}
    try:
        while running:
            done, running = wait(running, return_when=FIRST_COMPLETED)
            running |= {pool.submit(read_batch, archive, task) for task in islice(tasks, len(done))}
            yield from (future.result() for future in done)
    finally:
        for future in running:
            future.cancel()


def _tasks(wanted: Iterable[ToRead]) -> Iterator[tuple[ToRead, ...]]:
    task: list[ToRead] = []
    size = 0
    for item in wanted:
        if task and (size + item.size > _TASK_BYTES or len(task) == _TASK_FILES):
            yield tuple(task)
            task, size = [], 0
        task.append(item)
        size += item.size
    if task:
        yield tuple(task)


def read_batch(archive: Path, task: tuple[ToRead, ...]) -> Batch:
    """Archive and parse the files of one task; runs in a process of its own."""
    contents = {item.file_id: item.path.read_bytes() for item in task}
    whole = [item for item in task if sha256_of(contents[item.file_id]) == item.sha256]
    store(archive, {item.sha256: contents[item.file_id] for item in whole})
    read = parse_many([(contents[item.file_id], item.context) for item in whole])
    parsed = list(zip((item.file_id for item in whole), read, strict=True))
    changed = (Read(i.file_id, None, None, (), 0, 0, 0, changed=True) for i in task if i not in whole)
    return Batch(
        files=(*(_without_rows(number, file) for number, file in parsed), *changed),
        size=sum(item.size for item in task),
        scores=_stream([(number, file) for number, file in parsed if file.kind == "scores"]),
        register=_stream([(number, file) for number, file in parsed if file.kind == "register"]),
    )


def _without_rows(file_id: int, parsed: Parsed) -> Read:
    return Read(
        file_id,
        parsed.kind,
        parsed.layout,
        parsed.problems,
        parsed.rows_read,
        parsed.rows_accepted,
        parsed.rows_refused,
    )


def _stream(parsed: Sequence[tuple[int, Parsed]]) -> bytes | None:
    tables = [numbered(file.table, number) for number, file in parsed]
    if not any(table.num_rows for table in tables):
        return None
    sink = pa.BufferOutputStream()
    rows = pa.concat_tables(
        tables
    ).combine_chunks()  # small chunks cost the database more than copying them here
    with pa.ipc.new_stream(sink, rows.schema) as writer:
        writer.write_table(rows)
    content: bytes = sink.getvalue().to_pybytes()
    return content


def numbered(table: pa.Table, file_id: int) -> pa.Table:
    """Rows with the ledger number of their file as first column."""
    return table.add_column(0, "file_id", pa.repeat(pa.scalar(file_id, pa.int64()), table.num_rows))


def rows_of(stream: bytes) -> pa.Table:
    """The rows that a batch carries."""
    return pa.ipc.open_stream(stream).read_all()
