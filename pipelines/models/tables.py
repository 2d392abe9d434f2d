"""Names and keys of the published tables."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

KEYS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "farm_season": ("farm", "season"),
        "score_distribution": ("farm", "season", "scored_on", "group", "score"),
        "session_summary": ("farm", "season", "scored_on", "group"),
        "readiness": ("farm", "season", "group"),
        "readiness_cell": ("farm", "season", "group", "score"),
        "growth_interval": ("farm", "season", "scored_on", "group"),
        "farm_growth": ("farm", "season", "grazing"),
        "backtest": ("farm", "season", "scored_on", "predicted_on", "method"),
        "farm_standing": ("season", "stage", "system", "rank", "farm"),
        "ewe_action": ("farm", "season", "group", "ewe"),
        "ewe_history": ("farm", "season", "ewe", "scored_on"),
        "scorer_pair": ("farm", "scored_on", "ewe", "scorer_b", "score_b"),
        "held_back": ("farm", "season", "place"),
        "held_back_score": ("farm", "season", "scored_on", "group", "score"),
        "call_list": ("season", "urgency"),
        "import_problem": ("file", "line", "column", "code", "value", "message", "severity", "given"),
        "import_file": ("file", "sha256", "imported_at", "given"),
        "file_farm": ("farm", "file"),
        "about": ("as_of",),
    }
)
"""Columns that put each published table in its one order; they are unique but for equal rows."""

TABLES: tuple[str, ...] = tuple(KEYS)
"""Every published table."""

Scope = Literal["farm", "day", "season", "file"] | None
_OF_A_FARM: dict[str, Scope] = dict.fromkeys(("farm_season", "file_farm", "held_back"), "farm")
_COMPARED: dict[str, Scope] = {"farm_standing": "season", "call_list": "season"}
_OF_A_FILE: dict[str, Scope] = dict.fromkeys(("import_problem", "import_file"), "file")
_EACH: dict[str, Scope] = dict.fromkeys(TABLES, "day")
SCOPES: Mapping[str, Scope] = MappingProxyType(_EACH | _OF_A_FARM | _OF_A_FILE | _COMPARED | {"about": None})
"""Which rows are replaced when some farms change: all those of a farm, those from its first day that is built
anew on, those of a season or of a file; None: the whole (small) table is."""


@dataclass(frozen=True, slots=True)
class Rebuilt:
    """What a build has replaced: everything, or the rows of these farms and seasons (see `SCOPES`)."""

    everything: bool
    farms: frozenset[str]
    seasons: frozenset[int]
