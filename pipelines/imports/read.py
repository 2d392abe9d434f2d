"""One client file from bytes to accepted rows and problems. Pure: no clock, no disk, no database."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from pipelines.imports import catalogue
from pipelines.imports.context import Context
from pipelines.imports.decode import decode
from pipelines.imports.opening import Plan, open_file
from pipelines.imports.options import given_values
from pipelines.imports.parsed import Parsed, refused
from pipelines.imports.problems import Problem, RefusedError
from pipelines.imports.register_rows import check_register
from pipelines.imports.rows import Rows, read_rows
from pipelines.imports.suspicion import all_same, is_plainly_mixed, sessions_of, suspicions
from pipelines.imports.tables import table_of


def parse(content: bytes, context: Context) -> Parsed:
    """Read one client file.

    Every row is accepted as it was written, or named with its line and a remedy; or the file is refused whole
    with the reason. Nothing is raised for bad input.
    """
    try:
        return parse_text(decode(content), context)
    except RefusedError as refusal:
        return refused(refusal.problems, refusal.recognised)


def parse_text(text: str, context: Context) -> Parsed:
    """Read the text of one client file, line ends `\\n`. Raises `RefusedError` when it is refused whole."""
    lines = lines_of(text)
    plan, problems = open_file(lines, context)
    rows, parsed = read_lines(plan, lines[plan.start :], plan.start + 1)
    problems += last_line(plan, text, rows, len(lines))
    if plan.kind == "scores" and not is_plainly_mixed(rows):
        problems += all_same(sessions_of(parsed.table))
    return require_rows(parsed.rows_read, with_problems(parsed, problems))


def lines_of(text: str) -> list[str]:
    """The lines of a text, without an empty one after the last line end."""
    lines = text.split("\n")
    if not lines[-1]:
        lines.pop()
    return lines


def read_lines(plan: Plan, lines: Sequence[str], first_line: int) -> tuple[Rows, Parsed]:
    """Read the rows that stand on `lines`, which begin on line `first_line` of the file.

    Raises `RefusedError` when a second table begins among them.
    """
    rows = read_rows(plan, lines, first_line)
    if plan.kind == "register":
        rows = check_register(rows)
    return rows, parsed_rows(plan, rows, suspicions(rows) if plan.kind == "scores" else ())


def parsed_rows(plan: Plan, rows: Rows, odd: Sequence[Problem]) -> Parsed:
    """The rows as a table, with what was found odd about them."""
    return Parsed(
        plan.kind,
        plan.layout,
        table_of(plan, rows, given_values(plan.context)),
        (*rows.problems, *odd),
        rows.read,
        rows.read - rows.refused,
        rows.refused,
        plan.headings.recognised,
    )


def last_line(plan: Plan, text: str, rows: Rows, last: int) -> list[Problem]:
    """A warning when the file ends within an accepted row whose last cell may have been longer."""
    if text.endswith("\n") or not rows.lines or rows.lines[-1] != last:
        return []
    cell = text[text.rfind("\n") + 1 :].rsplit(plan.delimiter, 1)[-1].strip()
    complete = plan.headings.columns[-1] == "score" and not cell.isdigit()
    return [] if complete or cell.endswith('"') else [catalogue.LAST_LINE_CUT(cell).at(last)]


def require_rows(read: int, parsed: Parsed) -> Parsed:
    """`parsed`; raises `RefusedError` when no row was read."""
    if read == 0:
        raise RefusedError(*parsed.problems, catalogue.NO_ROWS().at(None), recognised=parsed.recognised)
    return parsed


def with_problems(parsed: Parsed, more: Sequence[Problem]) -> Parsed:
    """The same with `more` problems, all in the order of their lines."""
    problems = sorted((*more, *parsed.problems), key=lambda problem: problem.line or 0)
    return replace(parsed, problems=tuple(problems))
