"""Farms of one system side by side, at one stage of one season, each by its latest session there."""

from __future__ import annotations

import pandas as pd

from pipelines.queries.reader import Reader

# farm_standing has one row per farm, season and stage, of the latest session at that stage
FUNNEL = """
    select standing.*, registered.name, registered.discussion_group
    from farm_standing as standing
    inner join farm_season as registered using (farm, season)
    where season = $season and stage = $stage
        and (cast($system as varchar) is null or standing.system = $system)
    order by standing.system, rank, farm
"""
SESSIONS = """
    select summary.*, registered.name, registered.discussion_group, registered.rams_in
    from session_summary as summary
    inner join farm_standing as standing using (farm, season, stage, scored_on)
    inner join farm_season as registered using (farm, season)
    where season = $season and stage = $stage and standing.system = $system and summary."group" = 'ALL'
    order by farm
"""
DISTRIBUTION = """
    select farm, score, cast(sum(cells.ewes) as integer) as ewes
    from score_distribution as cells
    inner join farm_standing as standing using (farm, season, stage, scored_on)
    where season = $season and stage = $stage and standing.system = $system
    group by farm, score
    order by farm, score
"""
PAIRS = "select * from scorer_pair where farm = $farm order by scored_on, ewe, scorer_b"


def funnel_points(reader: Reader, season: int, stage: str, system: str | None = None) -> pd.DataFrame:
    """Rows of `farm_standing` with `name` and `discussion_group`, by system and rank."""
    return reader.frame(FUNNEL, {"season": season, "stage": stage, "system": system})


def compare_sessions(reader: Reader, season: int, stage: str, system: str) -> pd.DataFrame:
    """Rows of `session_summary` of whole sessions, with `name`, `discussion_group` and `rams_in`."""
    return reader.frame(SESSIONS, {"season": season, "stage": stage, "system": system})


def compare_distribution(reader: Reader, season: int, stage: str, system: str) -> pd.DataFrame:
    """`farm`, `score` and `ewes` of those sessions, all groups together."""
    return reader.frame(DISTRIBUTION, {"season": season, "stage": stage, "system": system})


def scorer_pairs(reader: Reader, farm: str) -> pd.DataFrame:
    """Rows of `scorer_pair` of a farm: ewes that two people scored on one day."""
    return reader.frame(PAIRS, {"farm": farm})
