"""Published figures and facts of the trade: small CSV files with their sources, and one loader.

Each file holds some columns that name the figure, one or more of `value`, `low`, `high`, and always
`unit, source, year, how_known`. Nothing in the program carries such a figure anywhere else.
"""

from __future__ import annotations

import csv
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from types import MappingProxyType
from typing import Literal, cast, get_args

from pipelines.settings import Band, DaysPerScore, Grazing, Stage, System

HowKnown = Literal["published", "quoted", "from memory", "common practice", "derived"]
HOW_KNOWN: tuple[HowKnown, ...] = get_args(HowKnown)
_COMMON = ("value", "low", "high", "unit", "source", "year", "how_known")


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure with its source. `keys` are the columns that name it; a missing number is None."""

    keys: Mapping[str, str]
    value: float | None
    low: float | None
    high: float | None
    unit: str
    source: str
    year: int | None
    how_known: HowKnown


def tables() -> tuple[str, ...]:
    """Names of all tables of figures, in alphabetical order."""
    names = (entry.name for entry in files(__name__).iterdir())
    return tuple(sorted(name.removesuffix(".csv") for name in names if name.endswith(".csv")))


@cache  # the files are part of the program and the answer is immutable
def figures(table: str) -> tuple[Figure, ...]:
    """All figures of one table in the order of its file.

    Raises `KeyError` naming the known tables, `ValueError` naming the line that cannot be used.
    """
    if table not in tables():
        raise KeyError(f"no table '{table}' of figures; known: {', '.join(tables())}")
    text = (files(__name__) / f"{table}.csv").read_text(encoding="utf-8")
    return tuple(_figure(table, line, row) for line, row in enumerate(csv.DictReader(text.splitlines()), 2))


def figure(table: str, **keys: str) -> Figure:
    """The one figure whose naming columns equal `keys`; raises `KeyError` unless there is exactly one."""
    found = [entry for entry in figures(table) if keys.items() <= entry.keys.items()]
    if len(found) != 1:
        raise KeyError(f"{table}: {len(found)} figures match {keys}")
    return found[0]


def number(table: str, **keys: str) -> float:
    """The value of that one figure; raises as `figure` does, and `ValueError` where it has none."""
    return _needed(figure(table, **keys).value)


@cache
def bands() -> Mapping[tuple[System, Stage], Band]:
    """Default band of scores for every system and stage; an adviser's own settings replace single cells."""
    parts: dict[tuple[System, Stage], dict[str, float]] = {}
    for entry in figures("bands"):
        cell = cast(System, entry.keys["system"]), cast(Stage, entry.keys["stage"])
        parts.setdefault(cell, {})[entry.keys["part"]] = _needed(entry.value)
    return MappingProxyType({cell: Band(**values) for cell, values in parts.items()})


@cache
def days_per_score() -> Mapping[Grazing, DaysPerScore]:
    """Days to gain one score on the grazing classes that ewes gain on: `best` and `ordinary`."""
    return MappingProxyType(
        {
            cast(Grazing, entry.keys["grazing"]): DaysPerScore(
                _needed(entry.value), _needed(entry.low), _needed(entry.high)
            )
            for entry in figures("days_per_score")
        }
    )


def cautions(*topics: str) -> tuple[str, ...]:
    """Sentences to show beside advice on `topics`, in their order: 'scores', 'feeding', 'health', 'thin',
    'drawing', 'change'; `KeyError` for another."""
    known = [(entry.keys["topic"], entry.keys["caution"]) for entry in figures("cautions")]
    if unknown := set(topics) - {topic for topic, _ in known}:
        raise KeyError(f"no cautions on {', '.join(sorted(unknown))}")
    return tuple(caution for topic in topics for about, caution in known if about == topic)


def _figure(table: str, line: int, row: Mapping[str, str]) -> Figure:
    how_known, source = row["how_known"], row["source"]
    if how_known not in HOW_KNOWN or not source:
        raise ValueError(f"{table}.csv line {line}: a source and one of {', '.join(HOW_KNOWN)} are needed")
    return Figure(
        keys=MappingProxyType({name: text for name, text in row.items() if name not in _COMMON}),
        value=_number(row.get("value")),
        low=_number(row.get("low")),
        high=_number(row.get("high")),
        unit=row["unit"],
        source=source,
        year=int(row["year"]) if row["year"] else None,
        how_known=how_known,
    )


def _number(text: str | None) -> float | None:
    return float(text) if text else None


def _needed(value: float | None) -> float:
    if value is None:
        raise ValueError("a number is needed here, and the table has none")
    return value
