"""The practice's farm register, one file a season and each written in a different year's manner."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from demo_farms.hands import HANDS, Columns, Hand, written_date
from demo_farms.layouts import encoded
from demo_farms.sessions import Season
from demo_farms.valley import REGIONS

_PLAIN: Columns = tuple(
    (name, name)
    for name in (
        "farm", "name", "system", "ewes", "weaned_on", "rams_in", "region", "breed",
        "best_grazing_places", "discussion_group", "flush_days", "contact",
    )
)  # fmt: skip
_SPACED: Columns = tuple((name.replace("_", " ").capitalize(), name) for name, _ in _PLAIN)

_MANNERS = {
    2024: replace(HANDS["weigh_head"], columns=_PLAIN),
    2025: replace(HANDS["abroad"], columns=_SPACED),
    2026: replace(HANDS["handheld"], columns=(*_PLAIN, ("season", "season"))),
}


def registers(seasons: Sequence[Season]) -> dict[str, bytes]:
    """Register files by name: one row per farm and season."""
    return {
        f"register-{year}.csv": _register(
            [season for season in seasons if season.year.season == year], manner
        )
        for year, manner in _MANNERS.items()
    }


def _register(seasons: Sequence[Season], manner: Hand) -> bytes:
    lines = [[heading for heading, _ in manner.columns]]
    for season in seasons:
        cells = _cells(season, manner)
        lines.append([cells[column] for _, column in manner.columns])
    return encoded(lines, manner)


def _cells(season: Season, manner: Hand) -> dict[str, str]:
    farm = season.farm
    return {
        "farm": farm.code,
        "name": farm.name,
        "system": farm.system,
        "ewes": str(season.ewes),
        "weaned_on": written_date(manner, season.year.weaned_on),
        "rams_in": written_date(manner, season.year.rams_in),
        "region": REGIONS[farm.system],
        "breed": farm.breed,
        "best_grazing_places": str(farm.best_grazing_places or ""),
        "discussion_group": farm.discussion_group,
        "flush_days": "" if farm.flush_days is None else str(farm.flush_days),
        "contact": f"office@{farm.code.lower()}.example, or the flock's own phone list",
        "season": str(season.year.season),
    }
