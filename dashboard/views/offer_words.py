"""Our columns in a vet's words, for choosing what a heading means."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from dashboard.components import words
from pipelines.imports.parsed import REGISTER, SCORES, FileKind
from pipelines.imports.score_cells import WRITTEN
from pipelines.warehouse.offers import what_was_told

COLUMN_WORDS: Final[Mapping[str, str]] = {
    "farm": "Farm code",
    "scored_on": "Day scored",
    "group": "Group",
    "ewe": "Ewe’s tag",
    "score": "Score",
    "count": "Number of ewes",
    "stage": "Stage",
    "scorer": "Scored by",
    "breed": "Breed",
    "note": "Note",
    "grazing": "Grazing",
    "age": "Age, years",
    "weight_kg": "Weight, kg",
    "teeth": "Teeth",
    "lame": "Lame",
    "udder": "Udder",
    "name": "Farm’s name",
    "system": "System",
    "ewes": "Ewes in the flock",
    "weaned_on": "Weaned on",
    "rams_in": "Rams in",
    "season": "Season",
    "region": "Region",
    "best_grazing_places": "Places on best grazing",
    "discussion_group": "Discussion group",
    "flush_days": "Flushing days",
    "contact": "Contact",
    "ignore": "left out",
}


def in_words(column: str) -> str:
    """`score` → `Score`, `2.5` → `Ewes scored 2.5`."""
    return COLUMN_WORDS.get(column) or f"Ewes scored {column}"


def given_in_words(told: str) -> str:
    """Farm, day and group that were given with a file; `told` is the ledger's record of them."""
    farm, day, group = what_was_told(told)
    return ", ".join(part for part in (farm, words.day(day) if day else "", group) if part)


def file_in_words(file: str, told: str) -> str:
    """A file's name, and what was given with it where anything was."""
    given = given_in_words(told)
    return f"{file} ({given})" if given else file


def choices(kind: FileKind | None) -> list[tuple[str, str]]:
    """What a heading may mean in a file of this kind, in any file where the kind is not known."""
    scores = [*SCORES.names[1:], *(f"{score:g}" for score in sorted(set(WRITTEN.values())))]
    register = REGISTER.names[1:]
    columns = {"scores": scores, "register": register}.get(kind or "", [*scores, *register])
    return [(column, in_words(column)) for column in dict.fromkeys(columns)] + [("ignore", "Leave it out")]
