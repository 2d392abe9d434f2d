"""What has come of a farm but cannot be judged, and why."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd

from pipelines.queries.reader import Reader

HELD = "select * from held_back where farm = $farm order by season desc, place"
HELD_SCORES = """
    select * from held_back_score where farm = $farm and season = $season
    order by scored_on desc, "group", score
"""


def farm_held_back(reader: Reader, farm: str) -> pd.DataFrame:
    """Rows of `held_back` of a farm: why what arrived of it cannot be judged, latest season first."""
    return reader.frame(HELD, {"farm": farm})


def farm_held_back_scores(reader: Reader, farm: str, season: int) -> pd.DataFrame:
    """Rows of `held_back_score` of a farm in a season, latest session first."""
    return reader.frame(HELD_SCORES, {"farm": farm, "season": season})


def because(row: Mapping[str, Any]) -> str:
    """A row of `held_back` in words: `the register (farms.csv, line 4) gives no rams-in date`.

    The file is left out for a visitor who may not see it.
    """
    file, line = (None if pd.isna(row[name]) else row[name] for name in ("file", "line"))
    place = "" if file is None else f" ({file})" if line is None else f" ({file}, line {line:.0f})"
    return f"{row['subject']}{place} {row['why']}"
