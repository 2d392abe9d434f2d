"""One client file from bytes to accepted rows and problems. Pure: no clock, no disk, no database."""

from __future__ import annotations

from collections.abc import Sequence

from pipelines.imports import catalogue
from pipelines.imports.context import Context
from pipelines.imports.decode import decode
from pipelines.imports.opening import Plan, open_file
from pipelines.imports.options import given_values
from pipelines.imports.parsed import Parsed, refused
from pipelines.imports.problems import RefusedError
from pipelines.imports.rows import read_rows
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


def _parse(text: str, context: Context) -> Parsed:
    lines = text.split("\n")
    if not lines[-1]:
        lines.pop()
    plan, problems = open_file(lines, context)
    parsed = read_piece(plan, lines[plan.start :], plan.start + 1)
    if parsed.rows_read == 0:
        fault = catalogue.NO_ROWS().at(None)
        raise RefusedError(*problems, *parsed.problems, fault, recognised=plan.headings.recognised)
    return parsed


def read_piece(plan: Plan, lines: Sequence[str], first_line: int) -> Parsed:
    """Read the rows that stand on `lines`, which begin on line `first_line` of the file."""
    rows = read_rows(plan, lines, first_line)
    table = table_of(plan, rows, given_values(plan.context))
    return Parsed(
        plan.kind,
        plan.layout,
        table,
        rows.problems,
        rows.read,
        rows.read - rows.refused,
        rows.refused,
        plan.headings.recognised,
    )
