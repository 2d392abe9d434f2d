"""Opening a file: its separator, the line of its headings, its layout. Found strictly, or refused."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from pipelines.imports import catalogue
from pipelines.imports.context import Context
from pipelines.imports.headings import Headings, check_aliases, check_headings, read_headings
from pipelines.imports.parsed import FileKind, Layout
from pipelines.imports.problems import Problem, RefusedError
from pipelines.imports.records import DELIMITERS, split_line
from pipelines.imports.text_cells import is_total

SEARCHED_LINES = 30
_SHARED = ("farm", "scored_on", "group")
_OPTIONS = {"farm": "--farm", "scored_on": "--date", "group": "--group"}
_OF_ONE_EWE = ("age", "weight_kg", "teeth", "lame", "udder")
_REGISTER_NEEDS = ("farm", "name", "system", "ewes", "weaned_on", "rams_in")


@dataclass(frozen=True, slots=True)
class Plan:
    """How the rows of one file are to be read; `start` is the number of lines before the first of them."""

    kind: FileKind
    layout: Layout
    delimiter: str
    headings: Headings
    start: int
    context: Context


@dataclass(frozen=True, slots=True)
class Candidate:
    """A line that could be the headings: its number, the separator, and what each cell would mean."""

    line: int
    delimiter: str
    headings: Headings

    @property
    def known(self) -> int:
        """How many headings are known."""
        return sum(column is not None for column in self.headings.columns)


def open_file(lines: Sequence[str], context: Context) -> tuple[Plan, list[Problem]]:
    """The plan for a file whose first lines are `lines`, and warnings about its headings.

    Raises `RefusedError` naming the line and the remedy when the headings cannot be used.
    """
    check_aliases(context)
    found = find_headings(lines, context)
    problems = _check_preamble(lines, found)
    problems += check_headings(found.headings, found.line)
    try:
        layout = _layout(found.headings, context, found.line)
    except RefusedError as refusal:
        raise RefusedError(*problems, *refusal.problems, recognised=found.headings.recognised) from refusal
    headings, more = _used_in(layout, found.headings, found.line)
    return Plan(headings.kind, layout, found.delimiter, headings, found.line, context), problems + more


def _used_in(layout: Layout, headings: Headings, line: int) -> tuple[Headings, list[Problem]]:
    """The headings that the layout uses: a row that counts ewes has no age or weight of one ewe."""
    if layout not in ("tally", "wide"):
        return headings, []
    unknown = [heading for heading, column in headings.pairs if heading and column is None]
    if layout == "wide" and (strays := [heading for heading in unknown if not is_total(heading)]):
        problems = [catalogue.HEADING_NOT_SCORE(heading).at(line, heading) for heading in strays]
        raise RefusedError(*problems, recognised=headings.recognised)
    unused = [heading for heading, column in headings.pairs if column in _OF_ONE_EWE]
    columns = tuple(None if column in _OF_ONE_EWE else column for column in headings.columns)
    problems = [catalogue.HEADING_OF_ONE_EWE(heading).at(line, heading) for heading in unused]
    return replace(headings, columns=columns), problems


def find_headings(lines: Sequence[str], context: Context) -> Candidate:
    """The first line that makes a whole layout; failing that, the first with most known headings.

    Raises `RefusedError` when no line has two headings that are known.
    """
    best: Candidate | None = None
    for candidate in _candidates(lines, context):
        if _is_whole(candidate.headings, context):
            return candidate
        if candidate.known > (best.known if best else 1):
            best = candidate
    if best is None:
        raise RefusedError(catalogue.HEADINGS_NOT_FOUND().at(None))
    return best


def _candidates(lines: Sequence[str], context: Context) -> Iterator[Candidate]:
    """Every line and separator that gives at least one heading in words (a row of counts has none)."""
    for number, line in enumerate(lines[:SEARCHED_LINES], start=1):
        for delimiter in DELIMITERS:
            cells = split_line(line, delimiter) if delimiter in line else None
            if cells is not None and (headings := read_headings(cells, context)).names:
                yield Candidate(number, delimiter, headings)


def _is_whole(headings: Headings, context: Context) -> bool:
    try:
        return bool(_layout(headings, context, line=0))
    except RefusedError:
        return False


def _check_preamble(lines: Sequence[str], found: Candidate) -> list[Problem]:
    problems = []
    for number, line in enumerate(lines[: found.line - 1], start=1):
        if not line.strip(" ,;\t\xa0") or line.strip().casefold() == f"sep={found.delimiter}":
            continue
        cells = split_line(line, found.delimiter)
        if cells is None or sum(bool(cell.strip()) for cell in cells) >= len(found.headings.written):
            raise RefusedError(catalogue.ROWS_ABOVE_HEADINGS(line).at(number))
        problems.append(catalogue.LINE_ABOVE_HEADINGS(line).at(number))
    return problems


def _layout(headings: Headings, context: Context, line: int) -> Layout:
    names = headings.names
    if headings.kind == "register":
        _require(names, _REGISTER_NEEDS, line)
        return "register"
    layout = _score_layout(headings, line)
    given = {"farm": context.farm, "scored_on": context.scored_on, "group": context.group}
    _require(names, [column for column in _SHARED if given[column] is None], line)
    return layout


def _score_layout(headings: Headings, line: int) -> Layout:
    names = headings.names
    fitting: dict[Layout, bool] = {
        "individual": "ewe" in names,
        "tally": "count" in names,
        "wide": len(headings.scores) > 0,
    }
    layouts = [layout for layout, fits in fitting.items() if fits]
    if len(layouts) > 1 or ("wide" in layouts and "score" in names):
        raise RefusedError(catalogue.LAYOUT_AMBIGUOUS(", ".join([*layouts, "score"][:3])).at(line))
    if not layouts:
        raise RefusedError(catalogue.UNKNOWN_LAYOUT().at(line))
    if layouts != ["wide"]:
        _require(names, ("score",), line)
    return layouts[0]


def _require(names: dict[str, int], columns: Sequence[str], line: int) -> None:
    missing = [column for column in columns if column not in names]
    problems = []
    for column in missing:
        option = f", give {_OPTIONS[column]}" if column in _OPTIONS and columns != _REGISTER_NEEDS else ""
        problems.append(catalogue.COLUMN_MISSING(column=column, option=option).at(line, column))
    if problems:
        raise RefusedError(*problems)
