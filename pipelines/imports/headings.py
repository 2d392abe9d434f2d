"""Headings: the aliases of the trade, the adviser's own, and which column of ours each one means."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from pipelines.imports import catalogue
from pipelines.imports.context import Context
from pipelines.imports.parsed import REGISTER, SCORES, FileKind
from pipelines.imports.problems import Problem, RefusedError
from pipelines.imports.score_cells import WRITTEN

IGNORE = "ignore"
_PUNCTUATION = re.compile(r"[\s_\-.:()\[\]?]+")

SCORE_ALIASES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "farm": ("farm code", "farm id", "farm no", "flock", "flock code", "client", "client code",
                 "holding"),
        "scored_on": ("scored", "date", "date scored", "scoring date", "score date", "session date",
                      "visit date"),
        "group": ("mob", "management group", "group name", "mob name", "grp", "batch"),
        "ewe": (
            "ewe id", "ewe no", "ewe number", "ewe tag", "eid", "ewe eid", "electronic id", "electronic tag",
            "rfid", "tag", "tag no", "tag number", "ear tag", "eartag", "animal", "animal id", "sheep id",
        ),
        "score": (
            "bcs", "cs", "condition", "condition score", "body condition", "body condition score",
            "ewe score",
        ),
        "count": ("ewes", "head", "head count", "number of ewes", "no of ewes", "ewe count", "counted",
                  "tally"),
        "stage": ("timing", "time of year"),
        "scorer": ("scored by", "assessor", "operator", "initials"),
        "breed": ("breed type",),
        "note": ("notes", "comment", "comments", "remark", "remarks"),
        "grazing": ("grazing class",),
        "age": ("age years", "years"),
        "weight_kg": ("weight", "wt", "wt kg", "live weight", "live weight kg", "liveweight",
                      "liveweight kg", "lw"),
        "teeth": ("mouth",),
        "lame": ("lameness",),
        "udder": ("bag",),
    }
)  # fmt: skip
REGISTER_ALIASES: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "farm": ("farm code", "farm id", "farm no", "flock code", "client code", "code"),
        "name": ("farm name", "flock name", "client name", "client"),
        "system": ("farm type", "flock type", "farm system"),
        "ewes": ("flock size", "number of ewes", "no of ewes", "breeding ewes"),
        "weaned_on": ("weaned", "weaning", "weaning date", "date weaned"),
        "rams_in": ("tups in", "tupping", "tupping date", "rams in date", "tups in date", "ram in", "tup in"),
        "season": ("year", "tupping year"),
        "region": ("area",),
        "breed": ("breed type",),
        "best_grazing_places": ("best grazing", "places on best grazing"),
        "discussion_group": ("group", "farmer group"),
        "flush_days": ("flush", "flushing days"),
        "contact": ("phone", "email", "contact details"),
    }
)


def plain(heading: str) -> str:
    """A heading whatever its case, spacing and punctuation."""
    return _PUNCTUATION.sub(" ", heading.casefold().replace("\ufeff", "")).strip()


def _lookup(aliases: Mapping[str, tuple[str, ...]]) -> Mapping[str, str]:
    return MappingProxyType(
        {plain(name): column for column, names in aliases.items() for name in (column, *names)}
    )


_SCORE_LOOKUP = _lookup(SCORE_ALIASES)
_REGISTER_LOOKUP = _lookup(REGISTER_ALIASES)
_KNOWN: Mapping[FileKind, tuple[str, ...]] = MappingProxyType(
    {"scores": tuple(SCORES.names[1:]), "register": tuple(REGISTER.names[1:])}
)


@dataclass(frozen=True, slots=True)
class Headings:
    """The headings of one file as `written`, and for each our column, a score, or `None` when not used."""

    kind: FileKind
    written: tuple[str, ...]
    columns: tuple[str | float | None, ...]

    @property
    def pairs(self) -> tuple[tuple[str, str | float | None], ...]:
        """Each heading as written with our column."""
        return tuple(zip(self.written, self.columns, strict=True))

    @property
    def names(self) -> dict[str, int]:
        """Position of each named column."""
        return {
            column: at
            for at, column in enumerate(self.columns)
            if isinstance(column, str) and column != IGNORE
        }

    @property
    def scores(self) -> dict[float, int]:
        """Position of each column headed by a score."""
        return {column: at for at, column in enumerate(self.columns) if isinstance(column, float)}

    @property
    def recognised(self) -> dict[str, str]:
        """Heading as written → our column."""
        return {
            heading: f"{column:g}" if isinstance(column, float) else column
            for heading, column in self.pairs
            if column is not None
        }


def read_headings(cells: Sequence[str], context: Context) -> Headings:
    """What each cell of a line means, were it a line of headings."""
    as_scores = _meanings(cells, _SCORE_LOOKUP, context)
    as_register = _meanings(cells, _REGISTER_LOOKUP, context)
    kind: FileKind = "register" if _is_register(as_register, as_scores) else "scores"
    written = tuple(cell.replace("\ufeff", "").strip() for cell in cells)
    return Headings(kind, written, as_register if kind == "register" else as_scores)


def check_aliases(context: Context) -> None:
    """Raise `RefusedError` when the adviser's own alias names no column of ours."""
    if problem := alias_problem(context.headings):
        raise RefusedError(problem)


def alias_problem(named: Mapping[str, str]) -> Problem | None:
    """The first of the adviser's own headings that names no column of ours."""
    known = (*_KNOWN["scores"], *_KNOWN["register"], IGNORE)
    for heading, column in named.items():
        if column not in known and column not in WRITTEN:
            fault = catalogue.ALIAS_UNKNOWN(heading, column=column, known=", ".join(sorted(set(known))))
            return fault.at(None, heading)
    return None


def check_headings(headings: Headings, line: int) -> list[Problem]:
    """Warnings about headings that are not used.

    Raises `RefusedError` when a column is given twice or a heading is damaged.
    """
    seen: dict[str | float, str] = {}
    problems: list[Problem] = []
    for heading, column in headings.pairs:
        if '"' in heading or not heading.replace("\xa0", " ").isprintable():
            shown = heading.encode("ascii", "backslashreplace").decode()
            raise _refused(catalogue.HEADING_DAMAGED(shown).at(line, shown), headings)
        if column is None and heading:
            known = ", ".join(_KNOWN[headings.kind])
            problems.append(catalogue.HEADING_UNKNOWN(heading, known=known).at(line, heading))
        if column is None or column == IGNORE:
            continue
        if column in seen:
            fault = catalogue.HEADING_REPEATED(heading, other=seen[column], column=column)
            raise _refused(fault.at(line, heading), headings)
        seen[column] = heading
    return problems


def _refused(problem: Problem, headings: Headings) -> RefusedError:
    return RefusedError(problem, recognised=headings.recognised)


def _meanings(
    cells: Sequence[str], lookup: Mapping[str, str], context: Context
) -> tuple[str | float | None, ...]:
    own = {plain(heading): column for heading, column in context.headings.items()}
    return tuple(_meaning(cell, own, lookup) for cell in cells)


def _meaning(cell: str, own: Mapping[str, str], lookup: Mapping[str, str]) -> str | float | None:
    heading = plain(cell)
    if heading in own:
        column = own[heading]
        return WRITTEN.get(column, column)
    return lookup.get(heading) or WRITTEN.get(" ".join(cell.replace("\ufeff", "").split()))


def _is_register(as_register: Sequence[str | float | None], as_scores: Sequence[str | float | None]) -> bool:
    return ("rams_in" in as_register or "system" in as_register) and "score" not in as_scores
