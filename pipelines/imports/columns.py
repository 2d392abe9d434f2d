"""Columns of cells to columns of values: a reader for each column, and each distinct cell read once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any

from pipelines.imports import catalogue
from pipelines.imports.context import Context
from pipelines.imports.date_cells import day, past_day
from pipelines.imports.identity import canonical_ewe
from pipelines.imports.number_cells import decimal, whole
from pipelines.imports.problems import Fault
from pipelines.imports.score_cells import score
from pipelines.imports.text_cells import grazing, group, name, note, stage, system, text

Reader = Callable[[str], Any]
LARGEST_COUNT = 100_000


@dataclass(frozen=True, slots=True)
class Typed:
    """One column: a value for each row, and the distinct cells that could not be read, with the reason."""

    values: Sequence[Any]
    faults: Mapping[str, Fault]


def type_cells(cells: Sequence[str], read: Reader) -> Typed:
    """Read each distinct cell once. A cell with a fault has the value `None`."""
    known = {cell: read(cell) for cell in set(cells)}
    faults = {cell: value for cell, value in known.items() if isinstance(value, Fault)}
    if faults:
        known.update(dict.fromkeys(faults))
    return Typed(list(map(known.__getitem__, cells)), faults)


def score_readers(context: Context) -> dict[str, Reader]:
    """How each column of a score session is read."""
    return {
        "farm": partial(_agreeing, read=partial(name, column="farm"), given=context.farm),
        "scored_on": partial(
            _agreeing,
            read=partial(_required, read=partial(past_day, today=context.today), column="scored_on"),
            given=context.scored_on,
        ),
        "group": partial(_agreeing, read=group, given=context.group),
        "ewe": canonical_ewe,
        "score": score,
        "count": partial(_required, read=_count, column="count"),
        "stage": stage,
        "scorer": text,
        "breed": text,
        "note": note,
        "grazing": grazing,
        "age": partial(decimal, column="age", low=0, high=25),
        "weight_kg": partial(decimal, column="weight_kg", low=15, high=200),
        "teeth": text,
        "lame": text,
        "udder": text,
    }


def wide_count(cell: str) -> int | Fault:
    """How many ewes had the score of the heading; a blank means none."""
    found = _count(cell)
    return 0 if found is None else found


def register_readers(context: Context) -> dict[str, Reader]:
    """How each column of the farm register is read. Dates may lie ahead."""
    a_day = partial(day, today=context.today)
    return {
        "farm": partial(name, column="farm"),
        "name": partial(name, column="name"),
        "system": system,
        "ewes": partial(
            _expected, read=partial(whole, column="ewes", low=1, high=LARGEST_COUNT), column="ewes"
        ),
        "weaned_on": partial(_expected, read=a_day, column="weaned_on"),
        "rams_in": partial(_required, read=a_day, column="rams_in"),
        "season": partial(whole, column="season", low=1980, high=context.today.year + 2),
        "region": text,
        "breed": text,
        "best_grazing_places": partial(whole, column="best_grazing_places", low=0, high=LARGEST_COUNT),
        "discussion_group": text,
        "flush_days": partial(whole, column="flush_days", low=0, high=60),
        "contact": text,
    }


def _count(cell: str) -> int | Fault | None:
    return whole(cell, "count", 0, LARGEST_COUNT)


def _required(cell: str, read: Reader, column: str) -> Any:
    found = read(cell)
    return catalogue.MISSING(column=column) if found is None else found


def _expected(cell: str, read: Reader, column: str) -> Any:
    found = read(cell)
    return catalogue.REGISTER_BLANK(column=column) if found is None else found


def _agreeing(cell: str, read: Reader, given: str | date | None) -> Any:
    """What the cell says; a fault when something else was given with the import."""
    found = read(cell)
    if given is None or isinstance(found, Fault) or found == given:
        return found
    return catalogue.CONTRADICTS(cell, other=given)
