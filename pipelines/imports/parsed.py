"""What reading one client file gives: a table of accepted rows, and the problems."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Literal

import pyarrow as pa

from pipelines.imports.problems import Problem

FileKind = Literal["scores", "register"]
Layout = Literal["individual", "tally", "wide", "register"]

SCORES = pa.schema(
    [
        ("line", pa.int32()),
        ("farm", pa.string()),
        ("scored_on", pa.date32()),
        ("group", pa.string()),
        ("ewe", pa.string()),
        ("score", pa.float64()),
        ("count", pa.int32()),
        ("stage", pa.string()),
        ("scorer", pa.string()),
        ("breed", pa.string()),
        ("note", pa.string()),
        ("grazing", pa.string()),
        ("age", pa.float64()),
        ("weight_kg", pa.float64()),
        ("teeth", pa.string()),
        ("lame", pa.string()),
        ("udder", pa.string()),
    ]
)
REGISTER = pa.schema(
    [
        ("line", pa.int32()),
        ("farm", pa.string()),
        ("name", pa.string()),
        ("system", pa.string()),
        ("ewes", pa.int32()),
        ("weaned_on", pa.date32()),
        ("rams_in", pa.date32()),
        ("season", pa.int32()),
        ("region", pa.string()),
        ("breed", pa.string()),
        ("best_grazing_places", pa.int32()),
        ("discussion_group", pa.string()),
        ("flush_days", pa.int32()),
        ("contact", pa.string()),
    ]
)


@dataclass(frozen=True, slots=True)
class Parsed:
    """One client file as read (or one piece of a large one).

    `kind` and `layout` are `None` and `table` has no rows when the file is refused whole. `table` has the
    schema `SCORES` or `REGISTER`. The three counts are of data rows of the file: a wide row counts once,
    blank lines and repeated headings not at all; `rows_read` = `rows_accepted` + `rows_refused`.
    A count of zero is accepted but has no row in `table`. `recognised` maps each heading as written to our
    column.
    """

    kind: FileKind | None
    layout: Layout | None
    table: pa.Table
    problems: tuple[Problem, ...] = ()
    rows_read: int = 0
    rows_accepted: int = 0
    rows_refused: int = 0
    recognised: Mapping[str, str] = field(default_factory=dict)


def refused(problems: Iterable[Problem], recognised: Mapping[str, str]) -> Parsed:
    """A file refused whole."""
    return Parsed(None, None, SCORES.empty_table(), tuple(problems), recognised=recognised)
