"""A published table as CSV, JSON or Parquet: the same state always gives the same bytes."""

from __future__ import annotations

import csv
import io
import json
import re
from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path
from typing import Any, BinaryIO, Literal

import pyarrow as pa
import pyarrow.parquet as pq

from pipelines.models import KEYS, TABLES
from pipelines.settings import Settings
from pipelines.warehouse.durable import beside
from pipelines.warehouse.errors import WrongUseError, plain_failures, require_folder
from pipelines.warehouse.snapshot import Snapshot

Format = Literal["csv", "json", "parquet"]
FORMATS: tuple[Format, ...] = ("csv", "json", "parquet")
_ROWS_AT_ONCE = 50_000
# What a spreadsheet takes for the beginning of a formula; the full-width signs count in some.
_FORMULA = re.compile(r"[\t\r\n]|\s*[=+\-@＝＋－＠]")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?(?:[eE][+-]?\d+)?", re.ASCII)


def export(snapshot: Snapshot, table: str, form: Format, sink: BinaryIO) -> int:
    """Write a published table in its own order; returns the number of rows.

    Raises `WrongUseError` for a table that is not published.
    """
    if table not in TABLES:
        raise WrongUseError(f"there is no table '{table}'. Published: {', '.join(TABLES)}")
    write: dict[Format, Callable[[pa.RecordBatchReader, BinaryIO], int]] = {
        "csv": _write_csv,
        "json": _write_json,
        "parquet": _write_parquet,
    }
    with snapshot.cursor() as cursor:
        # the rows of a farm that changed stand at the table's end, so the order is made here
        order = ", ".join(f'"{column}" nulls first' for column in KEYS[table])
        rows = cursor.sql(f'select * from "{table}" order by {order}')  # noqa: S608 the models' own names
        reader = rows.to_arrow_reader(_ROWS_AT_ONCE)
        return write[form](reader, sink)


def export_current(settings: Settings, table: str, form: Format, sink: BinaryIO | Path) -> int:
    """Export the current generation, into a stream or a file that appears only when it is whole."""
    snapshot = Snapshot(settings.home)
    try:
        if isinstance(sink, Path):
            return _export_to_file(snapshot, table, form, sink)
        return export(snapshot, table, form, sink)
    finally:
        snapshot.close()


def _export_to_file(snapshot: Snapshot, table: str, form: Format, path: Path) -> int:
    require_folder(path.parent)
    new = beside(path)
    try:
        with plain_failures(path.parent), new.open("wb") as sink:
            rows = export(snapshot, table, form, sink)
        new.replace(path)
    finally:
        new.unlink(missing_ok=True)
    return rows


def _write_csv(reader: pa.RecordBatchReader, sink: BinaryIO) -> int:
    text = io.TextIOWrapper(sink, "utf-8", newline="", write_through=True)
    writer = csv.writer(text, lineterminator="\n")
    writer.writerow(reader.schema.names)
    rows = 0
    for batch in reader:
        columns = ([defused(_as_text(value)) for value in column.to_pylist()] for column in batch.columns)
        writer.writerows(zip(*columns, strict=True))
        rows += batch.num_rows
    text.detach()
    return rows


def _write_json(reader: pa.RecordBatchReader, sink: BinaryIO) -> int:
    rows = 0
    sink.write(b"[")
    for batch in reader:
        for row in batch.to_pylist():
            sink.write(b",\n" if rows else b"\n")
            sink.write(json.dumps(row, default=_as_text, ensure_ascii=False).encode())
            rows += 1
    sink.write(b"\n]\n")
    return rows


def _write_parquet(reader: pa.RecordBatchReader, sink: BinaryIO) -> int:
    rows = 0
    with pq.ParquetWriter(sink, reader.schema) as writer:
        for batch in reader:
            writer.write_batch(batch)
            rows += batch.num_rows
    return rows


def defused(cell: Any) -> Any:
    """A cell of a CSV with an apostrophe before what a spreadsheet would run as a formula.

    A client's group or note may be called `=…`. A number, with its sign, stays a number. JSON and Parquet
    hold every text as it is.
    """
    if isinstance(cell, str) and _FORMULA.match(cell) and not _NUMBER.fullmatch(cell):
        return f"'{cell}"
    return cell


def _as_text(value: Any) -> Any:
    """Dates and times as ISO; `None` stays, and is an empty cell in CSV."""
    if isinstance(value, datetime):
        return value.isoformat(timespec="seconds")
    return value.isoformat() if isinstance(value, date) else value
