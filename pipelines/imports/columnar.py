"""Clean pieces of a large file, split and typed by column without a Python object for each cell.

Only where there is nothing to say: no quotation mark, every width right, every cell readable, nothing odd.
Then a split is all that `csv` would do, and arrow's is several times faster. Anything else is left to `rows`,
so that problems are found and worded in one place. Property tests hold the two to each other.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import numpy as np
import pyarrow as pa
from pyarrow import csv

from pipelines.imports.columns import score_readers, type_cells
from pipelines.imports.date_cells import is_ambiguous
from pipelines.imports.identity import all_electronic_in
from pipelines.imports.opening import Plan
from pipelines.imports.parsed import SCORES
from pipelines.imports.rows import Rows


def read_clean(plan: Plan, text: str, first_line: int) -> Rows | None:
    """The rows of `text`, which begins on line `first_line`, with arrow arrays as columns.

    `None` unless every line is a good row of one ewe or one score, about which there is nothing to say.
    """
    if not text.endswith("\n"):
        return None
    cells = _split(plan, text)
    typed = None if cells is None else _typed(plan, cells)
    if cells is None or typed is None or _odd(typed.columns, cells.num_rows):
        return None
    lines = range(first_line, first_line + cells.num_rows)
    return Rows(lines, typed.columns, (), cells.num_rows, 0, any(map(is_ambiguous, typed.days)))


def read_clean_files(plan: Plan, text: str, file: pa.Array) -> Rows | None:
    """The rows of several files, each below one line of headings; `file` tells the file of a row, ascending.

    `None` as for `read_clean`, by the files one at a time.
    """
    cells = _split(plan, text)
    typed = None if cells is None else _typed(plan, cells)
    if cells is None or typed is None or _odd({"file": file, **typed.columns}, cells.num_rows):
        return None
    number = file.to_numpy()
    lines = np.arange(len(number)) - np.searchsorted(number, number) + 2
    return Rows(lines, typed.columns, (), cells.num_rows, 0)


def _split(plan: Plan, text: str) -> pa.Table | None:
    """Cells as they are written, or `None` when a line has not as many as there are headings.

    `None` also where a split is not enough to find the cells: quotation marks, a row for each group.
    """
    if plan.layout not in ("individual", "tally") or '"' in text:
        return None
    content = text.encode()
    names = [str(at) for at in range(len(plan.headings.written))]
    try:
        return csv.read_csv(
            pa.py_buffer(content),
            csv.ReadOptions(use_threads=False, column_names=names, block_size=len(content) + 1),
            csv.ParseOptions(delimiter=plan.delimiter, quote_char=False, ignore_empty_lines=False),
            csv.ConvertOptions(column_types=dict.fromkeys(names, pa.string()), strings_can_be_null=False),
        )
    except pa.ArrowInvalid:
        return None


class _Typed(NamedTuple):
    """Columns of values, and the days as they are written."""

    columns: dict[str | float, Any]
    days: Sequence[str]


def _typed(plan: Plan, cells: pa.Table) -> _Typed | None:
    readers = score_readers(plan.context)
    columns: dict[str | float, Any] = {}
    days: Sequence[str] = ()
    for at, (heading, column) in enumerate(plan.headings.pairs):
        written = cells.column(at).combine_chunks()
        if heading and column == "ewe" and all_electronic_in(written):
            columns[column] = written
            continue
        coded = written.dictionary_encode()
        distinct = coded.dictionary.to_pylist()
        if not heading and any(map(str.strip, distinct)):
            return None
        if not isinstance(column, str) or column not in readers:
            continue
        typed = type_cells(distinct, readers[column])
        if typed.faults:
            return None
        columns[column] = pa.array(typed.values, SCORES.field(column).type).take(coded.indices)
        days = distinct if column == "scored_on" else days
    return _Typed(columns, days)


def _odd(columns: Mapping[str | float, Any], rows: int) -> bool:
    """Whether a file spells a group two ways, or has a ewe or a score of a group twice in a session."""
    return _two_spellings(columns) or _is_repeated(columns, rows)


def _two_spellings(columns: Mapping[str | float, Any]) -> bool:
    if "group" not in columns or not _spelt_twice(columns["group"].unique().to_pylist()):
        return False
    by_file: dict[int, list[str]] = {}
    for row in _combinations(columns, ("file", "group")).to_pylist():
        by_file.setdefault(row.get("file", 0), []).append(row["group"])
    return any(map(_spelt_twice, by_file.values()))


def _spelt_twice(groups: Sequence[str]) -> bool:
    return len({group.casefold() for group in groups}) < len(set(groups))


def _is_repeated(columns: Mapping[str | float, Any], rows: int) -> bool:
    if "ewe" not in columns:
        return _distinct(columns, ("file", "farm", "scored_on", "group", "score")) < rows
    if "file" not in columns and len(columns["ewe"].unique()) == rows:
        return False
    return _distinct(columns, ("file", "farm", "scored_on", "ewe")) < rows


def _distinct(columns: Mapping[str | float, Any], names: Sequence[str]) -> int:
    """How many combinations occur of those of these columns that the files have."""
    found: int = _combinations(columns, names).num_rows
    return found


def _combinations(columns: Mapping[str | float, Any], names: Sequence[str]) -> pa.Table:
    keys = {name: columns[name] for name in names if name in columns}
    return pa.table(keys).group_by(list(keys), use_threads=False).aggregate([])
