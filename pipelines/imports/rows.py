"""Rows of one piece of a file: the good ones as typed columns, the others as problems with their lines."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import compress
from typing import Any

from pipelines.imports import catalogue
from pipelines.imports.columns import Typed, register_readers, score_readers, type_cells, wide_count
from pipelines.imports.date_cells import is_ambiguous
from pipelines.imports.headings import read_headings
from pipelines.imports.identity import all_electronic
from pipelines.imports.opening import Plan
from pipelines.imports.problems import Fault, Problem, RefusedError, Registered
from pipelines.imports.records import Records, read_records
from pipelines.imports.text_cells import is_total

_DATES = ("scored_on", "weaned_on", "rams_in")


@dataclass(frozen=True, slots=True)
class Rows:
    """Accepted rows by column (a score heading is a column too), and what became of the others.

    `ambiguous` says whether a date was accepted that month-first reading would change; `month_first` is the
    first line that writes the month first. In pieces of one file they may not both occur.
    """

    lines: Sequence[int]
    columns: Mapping[str | float, Sequence[Any]]
    problems: tuple[Problem, ...]
    read: int
    refused: int
    ambiguous: bool = False
    month_first: int | None = None


def read_rows(plan: Plan, lines: Sequence[str], first_line: int) -> Rows:
    """The rows that stand on `lines`, the first of which is line `first_line` of the file.

    Raises `RefusedError` when a second table begins among them.
    """
    width = len(plan.headings.written)
    records = read_records(lines, first_line, plan.delimiter, width)
    _refuse_ragged_headings(plan, records, lines, first_line)
    typed = _type_columns(plan, records)
    dates = [(records.columns[plan.headings.names[name]], typed[name]) for name in _DATES if name in typed]
    month_first = _month_first(records, dates)
    if (
        month_first is None
        and not any(column.faults for column in typed.values())
        and _no_strays(plan, records)
    ):
        values = {name: column.values for name, column in typed.items()}
        read = len(records.lines) + records.refused
        ambiguous = any(is_ambiguous(cell) for cells, _ in dates for cell in set(cells))
        return Rows(records.lines, values, records.problems, read, records.refused, ambiguous)
    if month_first is not None:
        typed = _refuse_ambiguous(plan, records, typed)
    return replace(_sift(plan, records, typed), month_first=month_first)


def _type_columns(plan: Plan, records: Records) -> dict[str | float, Typed]:
    readers = (register_readers if plan.kind == "register" else score_readers)(plan.context)
    typed: dict[str | float, Typed] = {}
    for name, at in plan.headings.names.items():
        cells = records.columns[at]
        identities = name == "ewe" and all_electronic(cells)
        typed[name] = Typed(cells, {}) if identities else type_cells(cells, readers[name])
    for score, at in plan.headings.scores.items():
        typed[score] = type_cells(records.columns[at], wide_count)
    return typed


def _refuse_ragged_headings(plan: Plan, records: Records, lines: Sequence[str], first_line: int) -> None:
    for problem in records.problems:
        if problem.code == "wrong_number_of_cells" and problem.line is not None:
            _is_headings(plan, lines[problem.line - first_line].split(plan.delimiter), problem.line)


def _month_first(records: Records, dates: Sequence[tuple[Sequence[str], Typed]]) -> int | None:
    lines = [
        line
        for cells, column in dates
        if any(fault.code == "date_month_first" for fault in column.faults.values())
        for line, cell in zip(records.lines, cells, strict=True)
        if cell in column.faults and column.faults[cell].code == "date_month_first"
    ]
    return min(lines, default=None)


def _refuse_ambiguous(
    plan: Plan, records: Records, typed: dict[str | float, Typed]
) -> dict[str | float, Typed]:
    """In a file that writes some month first, a date that can be read two ways is not taken either way."""
    changed = dict(typed)
    for name in _DATES:
        if name in typed:
            cells = set(records.columns[plan.headings.names[name]])
            swapped = {cell: catalogue.DATE_SWAPPED(cell) for cell in cells if is_ambiguous(cell)}
            changed[name] = Typed(typed[name].values, {**swapped, **typed[name].faults})
    return changed


def _unheaded(plan: Plan) -> list[int]:
    return [at for at, heading in enumerate(plan.headings.written) if not heading]


def _no_strays(plan: Plan, records: Records) -> bool:
    return not any(cell.strip() for at in _unheaded(plan) for cell in set(records.columns[at]))


def _faults_by_row(
    plan: Plan, records: Records, typed: Mapping[str | float, Typed]
) -> dict[int, list[tuple[str | None, Fault]]]:
    """Row → (heading as written, fault) in the order of the headings."""
    found: dict[int, list[tuple[str | None, Fault]]] = {}
    for at, (heading, column) in enumerate(plan.headings.pairs):
        if not heading:
            faults = {
                cell: catalogue.NO_HEADING_CELL(cell) for cell in set(records.columns[at]) if cell.strip()
            }
        elif column is not None and column in typed:
            faults = dict(typed[column].faults)
        else:
            continue
        if faults:
            for row, cell in enumerate(records.columns[at]):
                if cell in faults:
                    found.setdefault(row, []).append((heading or None, faults[cell]))
    return found


def _sift(plan: Plan, records: Records, typed: Mapping[str | float, Typed]) -> Rows:
    keep = [True] * len(records.lines)
    problems = list(records.problems)
    refused = records.refused
    skipped = 0
    for row, faults in sorted(_faults_by_row(plan, records, typed).items()):
        line = records.lines[row]
        cells = [column[row] for column in records.columns]
        if not any(cell.strip() for cell in cells):
            keep[row] = False
            skipped += 1
        elif _is_headings(plan, cells, line):
            keep[row] = False
            skipped += 1
            problems.append(catalogue.HEADINGS_AGAIN().at(line))
        else:
            found = _row_problems(cells, faults, line)
            if plan.kind == "register":
                found = attributed(found, _register_line(typed, row))
            problems += found
            keep[row] = all(problem.severity == "warning" for problem in found)
            refused += not keep[row]
    values = {name: list(compress(column.values, keep)) for name, column in typed.items()}
    read = len(records.lines) + records.refused - skipped
    return Rows(list(compress(records.lines, keep)), values, tuple(problems), read, refused)


def _row_problems(
    cells: Sequence[str], faults: Sequence[tuple[str | None, Fault]], line: int
) -> list[Problem]:
    if any(fault.severity == "error" for _, fault in faults):
        label = next((cell for cell in cells if is_total(cell)), None)
        if label is not None:
            return [catalogue.TOTALS_ROW(label).at(line)]
    return [fault.at(line, heading) for heading, fault in faults]


def attributed(problems: Sequence[Problem], line: Mapping[str, Any]) -> list[Problem]:
    """The problems of one line of a register (its values by column), the errors with whose line it is."""
    if line["farm"] is None:
        return list(problems)
    days = (line.get("rams_in"), line.get("weaned_on"))
    season = line.get("season") or next((day.year for day in days if day), None)
    of = Registered(line["farm"], season, line.get("name"))
    return [replace(each, of=of) if each.severity == "error" else each for each in problems]


def _register_line(typed: Mapping[str | float, Typed], row: int) -> dict[str, Any]:
    return {str(name): column.values[row] for name, column in typed.items()}


def _is_headings(plan: Plan, cells: Sequence[str], line: int) -> bool:
    """Whether the row repeats the headings. Raises `RefusedError` when it has other headings."""
    words = read_headings(cells, plan.context)
    if words.columns == plan.headings.columns and words.kind == plan.kind:
        return True
    written = sum(bool(cell.strip()) for cell in cells)
    if len(words.names) >= max(2, written / 2):
        raise RefusedError(catalogue.SEVERAL_TABLES(line=line).at(line), recognised=plan.headings.recognised)
    return False
