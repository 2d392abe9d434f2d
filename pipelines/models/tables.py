"""Names and keys of the published tables."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

KEYS: Mapping[str, tuple[str, ...]] = MappingProxyType(
    {
        "farm_season": ("farm", "season"),
        "score_distribution": ("farm", "season", "scored_on", "group", "score"),
        "session_summary": ("farm", "season", "scored_on", "group"),
        "readiness": ("farm", "season", "group"),
        "farm_standing": ("season", "stage", "system", "rank", "farm"),
        "ewe_action": ("farm", "season", "group", "ewe"),
        "ewe_history": ("farm", "season", "ewe", "scored_on"),
        "scorer_pair": ("farm", "scored_on", "ewe", "scorer_b", "score_b"),
        "call_list": ("season", "urgency"),
        "import_problem": ("file", "line", "column", "code", "value", "message", "severity"),
        "import_file": ("file", "sha256", "imported_at"),
        "file_farm": ("farm", "file"),
        "about": ("as_of",),
    }
)
"""Columns that put each published table in its one order; they are unique but for equal rows."""

TABLES: tuple[str, ...] = tuple(KEYS)
"""Every published table."""
