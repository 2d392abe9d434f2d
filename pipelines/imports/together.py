"""Many small files read at once: those with the same headings, and nothing to say about them, as if one.

For a session of some hundred ewes, reading costs more for the file than for its rows; put together, the rows
are split and typed by column as those of a large file are. A file about which there is anything to say is
read on its own, so that problems are found and worded in one place; a property test holds both to the same.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import accumulate

import numpy as np
import pyarrow as pa

from pipelines.imports.columnar import read_clean_files
from pipelines.imports.context import Context
from pipelines.imports.decode import decode
from pipelines.imports.opening import Plan, open_file
from pipelines.imports.options import given_values
from pipelines.imports.parsed import Parsed
from pipelines.imports.problems import RefusedError
from pipelines.imports.read import parse
from pipelines.imports.running import Run, here
from pipelines.imports.suspicion import has_session_all_same
from pipelines.imports.tables import table_of

FEWEST = 3  # fewer files are read as quickly one by one

_Member = tuple[int, str]  # position among the files, and the text below its headings


def parse_many(files: Sequence[tuple[bytes, Context]], run: Run = here) -> list[Parsed]:
    """What `parse` makes of each file, in their order; `run` reads those that are read on their own."""
    found: dict[int, Parsed] = {}
    for (heading, _), (context, members) in _alike(files).items():
        plan = _plan(heading, context)
        if plan is not None:
            found.update(_read(plan, members))
    alone = [at for at in range(len(files)) if at not in found]
    if alone:
        found.update(zip(alone, run(_parse_each, [files[at] for at in alone]), strict=True))
    return [found[at] for at in range(len(files))]


def _parse_each(files: Sequence[tuple[bytes, Context]]) -> list[Parsed]:
    return [parse(*file) for file in files]


def _alike(files: Sequence[tuple[bytes, Context]]) -> dict[tuple[str, str], tuple[Context, list[_Member]]]:
    """Files by their first line and what was told of them."""
    alike: dict[tuple[str, str], tuple[Context, list[_Member]]] = {}
    for at, (content, context) in enumerate(files):
        try:
            heading, _, rows = decode(content).partition("\n")
        except RefusedError:
            continue
        if rows.endswith("\n"):
            alike.setdefault((heading, repr(context)), (context, []))[1].append((at, rows))
    return alike


def _plan(heading: str, context: Context) -> Plan | None:
    """The plan of files that begin with their headings; with nothing above them no other line has a say."""
    try:
        plan, problems = open_file([heading], context)
        given_values(context)
    except RefusedError:
        return None
    return None if problems else plan


def _read(plan: Plan, members: Sequence[_Member]) -> Iterator[tuple[int, Parsed]]:
    if len(members) < FEWEST:
        return
    tables = _tables(plan, [rows for _, rows in members])
    if tables is None:  # somewhere is something to say: halve until it stands in few files
        half = len(members) // 2
        yield from _read(plan, members[:half])
        yield from _read(plan, members[half:])
        return
    for (at, _), table in zip(members, tables, strict=True):
        rows, recognised = table.num_rows, plan.headings.recognised
        yield at, Parsed(plan.kind, plan.layout, table, (), rows, rows, 0, recognised)


def _tables(plan: Plan, texts: Sequence[str]) -> list[pa.Table] | None:
    """The rows of each file, or `None` when there is something to say about any of them."""
    sizes = [text.count("\n") for text in texts]
    file = np.repeat(np.arange(len(texts)), sizes)
    rows = read_clean_files(plan, "".join(texts), pa.array(file))
    if rows is None:
        return None
    table = table_of(plan, rows, given_values(plan.context))
    if table.num_rows < len(file) or has_session_all_same(table.append_column("file", pa.array(file))):
        return None
    starts = accumulate(sizes, initial=0)
    return [table.slice(start, size) for start, size in zip(starts, sizes, strict=False)]
