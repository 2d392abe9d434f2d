"""Reading offered files: laid down in the archive, parsed and handed back as Arrow, on every core.

Threads do it: files about which there is nothing to say are read by Arrow, which lets other threads go on.
The rest are read by Python, which does not: where there are many of them, they go to processes.
"""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path

import numpy as np
import pyarrow as pa

from pipelines.imports import Run, ahead, parse_many
from pipelines.imports.context import Context
from pipelines.imports.parsed import FileKind, Parsed
from pipelines.imports.problems import Problem
from pipelines.warehouse.archive import lay_down
from pipelines.warehouse.elsewhere import Elsewhere

# One task holds several small files, which are read as if one.
_TASK_BYTES = 1_000_000
_TASK_FILES = 64
# Tasks under way per thread: enough to keep it busy during a commit, few enough that memory does not grow
# with the files.
_AHEAD = 4
WORKERS = max(1, os.cpu_count() or 1)


Stamp = tuple[int, int]


def stamp(path: Path) -> Stamp:
    """Size and time of a file: another pair when it has been written to."""
    found = path.stat()
    return found.st_size, found.st_mtime_ns


@dataclass(frozen=True, slots=True)
class ToRead:
    """One file to be archived and parsed, with the ledger number its rows will carry."""

    file_id: int
    path: Path
    content: bytes
    sha256: str
    context: Context
    stamp: Stamp


@dataclass(frozen=True, slots=True)
class Read:
    """What parsing made of one file, without its rows; `changed` when it is no longer what was opened."""

    file_id: int
    kind: FileKind | None
    layout: str | None
    problems: tuple[Problem, ...]
    rows_read: int
    rows_accepted: int
    rows_refused: int
    changed: bool = False


@dataclass(frozen=True, slots=True)
class Batch:
    """Several files read, `size` bytes in all: rows with their `file_id`, and what is to be settled."""

    files: tuple[Read, ...]
    size: int
    scores: pa.Table | None
    register: pa.Table | None
    laid_down: Sequence[Path]


def read_all(archive: Path, wanted: Iterable[ToRead]) -> Iterator[Batch]:
    """Batches in the order of the files; each file of a batch is laid down beside its place by then."""
    with ThreadPoolExecutor(WORKERS) as threads, Elsewhere(WORKERS) as run:
        yield from ahead(threads, WORKERS * _AHEAD)(partial(read_batch, archive, run), _tasks(wanted))


def _tasks(wanted: Iterable[ToRead]) -> Iterator[tuple[ToRead, ...]]:
    task: list[ToRead] = []
    size = 0
    for item in wanted:
        if task and (size + len(item.content) > _TASK_BYTES or len(task) == _TASK_FILES):
            yield tuple(task)
            task, size = [], 0
        task.append(item)
        size += len(item.content)
    if task:
        yield tuple(task)


def read_batch(archive: Path, run: Run, task: tuple[ToRead, ...]) -> Batch:
    """Lay down and parse the files of one task."""
    whole = [item for item in task if _is_unchanged(item)]
    changed = {item.file_id for item in task} - {item.file_id for item in whole}
    laid_down = lay_down(archive, {item.sha256: item.content for item in whole})
    parsed = parse_many([(item.content, item.context) for item in whole], run)
    numbers = [item.file_id for item in whole]
    return Batch(
        files=(*map(_without_rows, numbers, parsed), *map(_changed, sorted(changed))),
        size=sum(len(item.content) for item in task),
        scores=_rows_of("scores", numbers, parsed),
        register=_rows_of("register", numbers, parsed),
        laid_down=laid_down,
    )


def _is_unchanged(item: ToRead) -> bool:
    try:
        return stamp(item.path) == item.stamp
    except OSError:
        return False


def _changed(file_id: int) -> Read:
    return Read(file_id, None, None, (), 0, 0, 0, changed=True)


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


def _rows_of(kind: FileKind, numbers: Sequence[int], parsed: Sequence[Parsed]) -> pa.Table | None:
    wanted = [(number, file.table) for number, file in zip(numbers, parsed, strict=True) if file.kind == kind]
    if not any(table.num_rows for _, table in wanted):
        return None
    return numbered([table for _, table in wanted], [number for number, _ in wanted])


def numbered(tables: Sequence[pa.Table], file_ids: Sequence[int]) -> pa.Table:
    """The rows of several files, with the ledger number of their file as first column."""
    repeated = np.repeat(np.array(file_ids, np.int64), [table.num_rows for table in tables])
    return pa.concat_tables(tables).add_column(0, "file_id", pa.array(repeated))
