"""Register rows held against each other: one row for each farm and season, dates in order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date
from itertools import compress, repeat

from pipelines.imports import catalogue
from pipelines.imports.problems import Problem
from pipelines.imports.rows import Rows, attributed


def check_register(rows: Rows) -> Rows:
    """The rows with their seasons, without those that contradict themselves or an earlier row."""
    rams_in: Sequence[date] = rows.columns["rams_in"]
    given = rows.columns.get("season") or repeat(None, len(rams_in))
    seasons = [season or day.year for season, day in zip(given, rams_in, strict=True)]
    rows = replace(rows, columns={**rows.columns, "season": seasons})
    found = list(_problems(rows))
    bad = {problem.line for problem in found if problem.severity == "error"}
    keep = [line not in bad for line in rows.lines]
    return replace(
        rows,
        lines=list(compress(rows.lines, keep)),
        columns={name: list(compress(values, keep)) for name, values in rows.columns.items()},
        problems=(*rows.problems, *found),
        refused=rows.refused + len(bad),
    )


def _problems(rows: Rows) -> Iterator[Problem]:
    first: dict[tuple[str, int], int] = {}
    names = ("farm", "name", "season", "weaned_on", "rams_in")
    for line, *values in zip(rows.lines, *(rows.columns[name] for name in names), strict=True):
        yield from attributed(list(_of_line(line, first, *values)), dict(zip(names, values, strict=True)))


def _of_line(
    line: int,
    first: dict[tuple[str, int], int],
    farm: str,
    _name: str | None,
    season: int,
    weaned_on: date | None,
    rams_in: date,
) -> Iterator[Problem]:
    """What contradicts in one line; `first` gathers the line of each farm and season."""
    if weaned_on is not None and weaned_on > rams_in:
        yield catalogue.DATES_OUT_OF_ORDER(f"{weaned_on}, {rams_in}").at(line, "weaned_on")
    elif first.setdefault((farm, season), line) != line:
        fault = catalogue.FARM_SEASON_REPEATED(farm, season=season, line=first[farm, season])
        yield fault.at(line, "farm")
    elif season != rams_in.year:
        yield catalogue.SEASON_DIFFERS(str(season), year=rams_in.year).at(line, "season")
