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
    select
        summary.*, registered.name, registered.discussion_group, registered.rams_in, registered.breed,
        standing.adjusted_thin_share as adjusted, standing.low as adjusted_low,
        standing.high as adjusted_high, standing.chance_too_many_thin as chance, standing.rank,
        standing.rank_low, standing.rank_high, standing.farms as compared,
        before.thin as before_thin, before.ewes as before_ewes, registered_before.ewes as before_flock
    from session_summary as summary
    inner join farm_standing as standing using (farm, season, stage, scored_on)
    inner join farm_season as registered using (farm, season)
    left join farm_standing as before
        on before.farm = summary.farm and before.season = summary.season - 1 and before.stage = summary.stage
    left join farm_season as registered_before
        on registered_before.farm = before.farm and registered_before.season = before.season
    where summary.season = $season and summary.stage = $stage and standing.system = $system
        and summary."group" = 'ALL'
    order by summary.farm
"""
DISTRIBUTION = """
    select farm, score, cast(sum(cells.ewes) as integer) as ewes
    from score_distribution as cells
    inner join farm_standing as standing using (farm, season, stage, scored_on)
    where season = $season and stage = $stage and standing.system = $system
    group by farm, score
    order by farm, score
"""
EVERY_PAIR = "select * from scorer_pair order by farm, scored_on, ewe, scorer_b, score_b"
PAIRS = "select * from scorer_pair where farm = $farm order by scored_on, ewe, scorer_b"


def funnel_points(reader: Reader, season: int, stage: str, system: str | None = None) -> pd.DataFrame:
    """Rows of `farm_standing` with `name` and `discussion_group`, by system and rank."""
    return reader.frame(FUNNEL, {"season": season, "stage": stage, "system": system})


def compare_sessions(reader: Reader, season: int, stage: str, system: str) -> pd.DataFrame:
    """Rows of `session_summary` of whole sessions, each with what the register says of the farm, its standing
    among the `compared` farms, and its session at that stage a season before (`before_…`, NULL if none)."""
    return reader.frame(SESSIONS, {"season": season, "stage": stage, "system": system})


def compare_distribution(reader: Reader, season: int, stage: str, system: str) -> pd.DataFrame:
    """`farm`, `score` and `ewes` of those sessions, all groups together."""
    return reader.frame(DISTRIBUTION, {"season": season, "stage": stage, "system": system})


def scorer_pairs(reader: Reader, farm: str) -> pd.DataFrame:
    """Rows of `scorer_pair` of a farm: ewes that two people scored on one day."""
    return reader.frame(PAIRS, {"farm": farm})


def every_scorer_pair(reader: Reader) -> pd.DataFrame:
    """Rows of `scorer_pair` of all farms: ewes that two people scored on one day."""
    return reader.frame(EVERY_PAIR)
