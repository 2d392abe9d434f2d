"""A client file as a preview shows it: its headings with what each means, its rows, what is wrong where."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from pipelines.imports.context import Context
from pipelines.imports.decode import decode
from pipelines.imports.headings import IGNORE, plain
from pipelines.imports.opening import SEARCHED_LINES, find_headings
from pipelines.imports.parsed import Parsed
from pipelines.imports.problems import Problem, RefusedError
from pipelines.imports.read import lines_of, parse
from pipelines.imports.records import DELIMITERS, split_line
from pipelines.imports.text_cells import name

FIRST_ROWS = 8
PROBLEM_ROWS = 24
SHARED = ("farm", "scored_on", "group")


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading as written, and what it means: one of our columns, a score, `ignore`, or None: not known."""

    written: str
    column: str | None


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the file below its headings, with the problems found on it."""

    line: int
    cells: tuple[str, ...]
    problems: tuple[Problem, ...]


@dataclass(frozen=True, slots=True)
class Preview:
    """What reading the file would give, beside the file itself.

    `rows`: the first ones and those with problems, in the order of the file. `general`: problems of the whole
    file, of its headings, or of a line that is not shown. `missing`: which of farm, day and group no column
    gives. `headings` is empty when not even a line of headings can be made out.
    """

    parsed: Parsed
    headings: tuple[Heading, ...] = ()
    rows: tuple[Row, ...] = ()
    general: tuple[Problem, ...] = ()
    missing: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Opened:
    lines: Sequence[str]
    line: int
    delimiter: str
    headings: tuple[Heading, ...]


def preview(content: bytes, context: Context) -> Preview:
    """Read a file as `parse` would and keep beside it what a person needs to see. Raises nothing."""
    parsed = parse(content, context)
    opened = _open(content, context)
    if opened is None:
        return Preview(parsed, general=parsed.problems)
    by_line: dict[int, list[Problem]] = {}
    for problem in parsed.problems:
        by_line.setdefault(problem.line or 0, []).append(problem)
    rows = tuple(
        Row(number, _cells(opened, number), tuple(by_line.get(number, ())))
        for number in _shown(opened, by_line)
    )
    shown = {row.line for row in rows}
    known = {heading.column for heading in opened.headings}
    return Preview(
        parsed,
        opened.headings,
        rows,
        tuple(problem for problem in parsed.problems if problem.line not in shown),
        () if parsed.kind == "register" else tuple(column for column in SHARED if column not in known),
    )


def farms_named(content: bytes, context: Context) -> frozenset[str]:
    """The farms that the farm column names, on good rows and bad; none when no column is known for it."""
    opened = _open(content, context)
    if opened is None:
        return frozenset()
    places = [at for at, heading in enumerate(opened.headings) if heading.column == "farm"]
    below = (split_line(line, opened.delimiter) for line in opened.lines[opened.line :])
    cells = {row[at] for row in below if row for at in places if at < len(row)}
    return frozenset(found for cell in cells if isinstance(found := name(cell, "farm"), str))


def headings_near_top(content: bytes) -> frozenset[str]:
    """Every cell of the first lines, however separated, in the form that tells headings apart (`plain`)."""
    try:
        lines = lines_of(decode(content))[:SEARCHED_LINES]
    except RefusedError:
        return frozenset()
    rows = (split_line(line, delimiter) for line in lines for delimiter in DELIMITERS)
    return frozenset(plain(cell) for row in rows if row for cell in row)


def named_in(headings: Mapping[str, str], near_top: frozenset[str]) -> bool:
    """Whether any of `headings`, as an adviser named them, stands near the top of a file."""
    return any(plain(heading) in near_top for heading in headings)


def _open(content: bytes, context: Context) -> _Opened | None:
    """The line of the headings; where too few are known, the fullest of the first lines."""
    try:
        lines = lines_of(decode(content))
    except RefusedError:
        return None
    try:
        found = find_headings(lines, context)
    except RefusedError:
        return _guessed(lines, context)
    columns = (f"{column:g}" if isinstance(column, float) else column for column in found.headings.columns)
    headings = map(Heading, found.headings.written, columns)
    return _Opened(lines, found.line, found.delimiter, tuple(headings))


def _guessed(lines: Sequence[str], context: Context) -> _Opened | None:
    own = {plain(heading): column for heading, column in context.headings.items()}
    best: tuple[int, int, str, list[str]] | None = None
    for number, line in enumerate(lines[:SEARCHED_LINES], start=1):
        for delimiter in DELIMITERS:
            cells = [cell.strip() for cell in split_line(line, delimiter) or ()]
            words = sum(bool(cell) and not any(sign.isdigit() for sign in cell) for cell in cells)
            if len(cells) > 1 and (best is None or words > best[0]):
                best = words, number, delimiter, cells
    if best is None or best[0] < 2:
        return None
    _, line_number, delimiter, cells = best
    return _Opened(
        lines, line_number, delimiter, tuple(Heading(cell, own.get(plain(cell))) for cell in cells)
    )


def _shown(opened: _Opened, by_line: Mapping[int, Sequence[Problem]]) -> list[int]:
    below = range(opened.line + 1, len(opened.lines) + 1)
    filled = (number for number in below if opened.lines[number - 1].strip(" ,;\t\xa0"))
    first = [number for number, _ in zip(filled, range(FIRST_ROWS), strict=False)]
    wrong = [number for number in sorted(by_line) if number > opened.line][:PROBLEM_ROWS]
    return sorted({*first, *wrong})


def _cells(opened: _Opened, number: int) -> tuple[str, ...]:
    line = opened.lines[number - 1]
    return tuple(split_line(line, opened.delimiter) or [line])


__all__ = ["IGNORE", "Heading", "Preview", "Row", "farms_named", "headings_near_top", "named_in", "preview"]
