"""What the anonymised comparison of a discussion group is made from."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from pipelines.queries.reader import Reader

GROUPS = """
    select distinct discussion_group from farm_season where discussion_group is not null order by 1
"""
IN_GROUP = """
    season in ($season, $season - 1) and farm in (
        select farm from farm_season where discussion_group = $group and season = $season
    )
"""
MEMBERS = f"select * from farm_season where {IN_GROUP} order by season, farm"  # noqa: S608
MEMBERS_SESSIONS = f"""
    select * from session_summary where {IN_GROUP} order by farm, scored_on, "group"
"""  # noqa: S608
MEMBERS_SCORES = f"""
    select * from score_distribution where {IN_GROUP} order by farm, scored_on, "group", score
"""  # noqa: S608


@dataclass(frozen=True, slots=True)
class GroupTables:
    """Rows of `farm_season`, `session_summary` and `score_distribution` of a group's farms."""

    farms: pd.DataFrame
    sessions: pd.DataFrame
    distribution: pd.DataFrame


def discussion_groups(reader: Reader) -> list[str]:
    """Names of the discussion groups of any season."""
    return [str(group) for (group,) in reader.rows(GROUPS)]


def group_tables(reader: Reader, group: str, season: int) -> GroupTables:
    """What is known, of that season and the one before, of the farms that are in the group in that season."""
    asked = {"group": group, "season": season}
    return GroupTables(
        reader.frame(MEMBERS, asked),
        reader.frame(MEMBERS_SESSIONS, asked),
        reader.frame(MEMBERS_SCORES, asked),
    )
