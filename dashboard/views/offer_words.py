"""Our columns in a vet's words, for choosing what a heading means."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Final

from pipelines.imports.parsed import REGISTER, SCORES, FileKind
from pipelines.imports.score_cells import WRITTEN

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


def choices(kind: FileKind | None) -> list[tuple[str, str]]:
    """What a heading may mean in a file of this kind, in any file where the kind is not known."""
    scores = [*SCORES.names[1:], *(f"{score:g}" for score in sorted(set(WRITTEN.values())))]
    register = REGISTER.names[1:]
    columns = {"scores": scores, "register": register}.get(kind or "", [*scores, *register])
    return [(column, in_words(column)) for column in dict.fromkeys(columns)] + [("ignore", "Leave it out")]
