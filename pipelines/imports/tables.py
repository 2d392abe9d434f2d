"""Accepted rows to an arrow table with the schema `SCORES` or `REGISTER`."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date
from typing import Any

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from pipelines.imports.opening import Plan
from pipelines.imports.parsed import REGISTER, SCORES
from pipelines.imports.rows import Rows


def table_of(plan: Plan, rows: Rows, given: Mapping[str, str | date]) -> pa.Table:
    """The rows as a table; `given` fills the columns that the file does not have."""
    if plan.kind == "register":
        return _build(REGISTER, rows.lines, rows.columns)
    if plan.layout == "wide":
        lines, counted = _long(rows)
        return _build(SCORES, lines, {**given, **counted})
    if plan.layout == "individual":
        return _build(SCORES, rows.lines, {**given, **rows.columns, "count": 1})
    return _counted(_build(SCORES, rows.lines, {**given, **rows.columns}))


def _build(schema: pa.Schema, lines: Sequence[int], columns: Mapping[Any, Any]) -> pa.Table:
    arrays = [_line_array(lines)]
    arrays += [
        _array(columns.get(field.name), field.type, len(lines)) for field in schema if field.name != "line"
    ]
    return pa.Table.from_arrays(arrays, schema=schema)


def _line_array(lines: Sequence[int]) -> pa.Array:
    if isinstance(lines, range):
        return pa.array(np.arange(lines.start, lines.stop, dtype=np.int32))
    return pa.array(lines, pa.int32())


def _array(values: Any, kind: pa.DataType, length: int) -> pa.Array:
    if values is None:
        return pa.nulls(length, kind)
    if isinstance(values, str | date | int):
        return pa.repeat(pa.scalar(values, kind), length)
    return values if isinstance(values, pa.Array) else pa.array(values, kind)


def _counted(tally: pa.Table) -> pa.Table:
    """A tally without the scores that no ewe had."""
    return tally.filter(pc.not_equal(tally["count"], 0)) if pc.min(tally["count"]).as_py() == 0 else tally


def _long(rows: Rows) -> tuple[list[int], dict[str, list[Any]]]:
    """One row for each score counted at least once, in the order of lines and then of scores."""
    scores = sorted(name for name in rows.columns if isinstance(name, float))
    names = [name for name in rows.columns if isinstance(name, str)]
    cells = [
        (row, score, count)
        for row in range(len(rows.lines))
        for score in scores
        if (count := rows.columns[score][row])
    ]
    columns: dict[str, list[Any]] = {name: [rows.columns[name][row] for row, _, _ in cells] for name in names}
    columns["score"] = [score for _, score, _ in cells]
    columns["count"] = [count for _, _, count in cells]
    return [rows.lines[row] for row, _, _ in cells], columns
