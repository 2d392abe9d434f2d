"""Lines to records: Python's `csv`, strict, one record a line, and a check of every width.

A record never runs over several lines: no column of ours needs it, and an unclosed quotation mark would
otherwise swallow good rows. So one damaged line costs that line only, and it can be named.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cache

from pipelines.imports import catalogue
from pipelines.imports.problems import Problem

DELIMITERS = (",", ";", "\t")


@dataclass(frozen=True, slots=True)
class Records:
    """Records of the right width, by column; `lines` holds the line each stands on."""

    lines: Sequence[int]
    columns: Sequence[Sequence[str]]
    problems: tuple[Problem, ...] = ()
    refused: int = 0


def split_line(line: str, delimiter: str) -> list[str] | None:
    """The cells of one line, or `None` when a quotation mark in it is not paired."""
    if '"' not in line:
        return line.split(delimiter)
    if not _well_quoted(delimiter).fullmatch(line):
        return None
    return next(csv.reader([line], delimiter=delimiter, strict=True))


def read_records(lines: Sequence[str], first_line: int, delimiter: str, width: int) -> Records:
    """The records of `lines`, which begin on line `first_line` of the file; blank lines are skipped."""
    text = delimiter.join(lines)
    # Without quotation marks and with every line of the right width, csv is nothing but a split.
    if '"' not in text and {line.count(delimiter) for line in lines} == {width - 1}:
        cells = text.split(delimiter)
        return Records(range(first_line, first_line + len(lines)), [cells[at::width] for at in range(width)])
    return _read_each(lines, first_line, delimiter, width)


@cache
def _well_quoted(delimiter: str) -> re.Pattern[str]:
    cell = f'(?:"(?:[^"]|"")*"|[^"{delimiter}]*)'
    return re.compile(f"{cell}(?:{delimiter}{cell})*")


def _read_each(lines: Sequence[str], first_line: int, delimiter: str, width: int) -> Records:
    good: dict[int, list[str]] = {}
    problems: list[Problem] = []
    loose: list[int] = []
    blank = f" {delimiter}\t\xa0"
    for number, line in enumerate(lines, start=first_line):
        if not line.strip(blank):
            continue
        cells = split_line(line, delimiter)
        if cells is None:
            problems.append(catalogue.STRAY_QUOTE(line).at(number))
        elif len(cells) == width:
            good[number] = cells
        else:
            problems.append(catalogue.RAGGED_ROW(line, found=len(cells), expected=width).at(number))
            loose += [number] * (len(cells) == 1)
    columns: Sequence[Sequence[str]] = list(zip(*good.values(), strict=True)) or [()] * width
    refused = len(problems)
    problems += _beside(loose, good)
    return Records(tuple(good), columns, tuple(problems), refused)


def _beside(loose: Sequence[int], good: Mapping[int, list[str]]) -> Iterator[Problem]:
    """A line of one cell may be the end of the row before it, or the beginning of the row after it."""
    for line in loose:
        for neighbour, side in ((line - 1, "after"), (line + 1, "before")):
            if neighbour in good:
                yield catalogue.BROKEN_ROW(side=side).at(neighbour)
