"""What there is to know of one farm."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from pipelines.queries.reader import Reader

FARM = """
    select farm, name, system, region, breed, discussion_group
    from farm_season where farm = $farm order by season desc limit 1
"""
FARM_SEASONS = "select * from farm_season where farm = $farm order by season desc"
SESSIONS = """
    select * from session_summary where farm = $farm and season = $season order by scored_on, "group"
"""
DISTRIBUTION = """
    select * from score_distribution where farm = $farm and season = $season
    order by scored_on, "group", score
"""
READINESS = 'select * from readiness where farm = $farm and season = $season order by "group"'
EWES = """
    select * from ewe_action where farm = $farm and season = $season order by "group", score, ewe
"""
THINNEST = """
    select * from (
        select *, count(*) over () as found, count(*) over (partition by action, rescore_by) as of_action
        from ewe_action where farm = $farm and season = $season
        order by score, "group", ewe limit $rows
    ) as thinnest
    order by "group", score, ewe
"""
CALL = "select * from call_list where farm = $farm and season = $season"
PAST = """
    select * exclude (place) from (
        select
            summary.*,
            row_number() over (partition by summary.season order by summary.scored_on desc) as place
        from session_summary as summary
        inner join farm_season as registered using (farm, season)
        where farm = $farm and summary."group" = 'ALL' and summary.scored_on <= registered.rams_in
    ) as before_tupping
    where place = 1
    order by season desc
"""
HISTORY = "select * from ewe_history where farm = $farm order by ewe, scored_on"
# the stage of the farm's latest session, in every season that has it
TREND = """
    select standing.season, standing.stage, standing.scored_on, standing.thin, standing.ewes,
        registered.ewes as flock_ewes
    from farm_standing as standing
    inner join farm_season as registered using (farm, season)
    where farm = $farm and standing.stage = (
        select stage from farm_standing where farm = $farm order by scored_on desc limit 1
    )
    order by standing.season desc
"""
STANDINGS = "select * from farm_standing where farm = $farm order by season desc, scored_on"


@dataclass(frozen=True, slots=True)
class Farm:
    """A farm as its latest season in the register has it."""

    code: str
    name: str
    system: str
    region: str | None
    breed: str | None
    discussion_group: str | None


def farm(reader: Reader, farm: str) -> Farm | None:
    """The farm with this code; None when there is none, or none that may be seen."""
    rows = reader.rows(FARM, {"farm": farm})
    return Farm(*rows[0]) if rows else None


def farm_seasons(reader: Reader, farm: str) -> pd.DataFrame:
    """Rows of `farm_season` of a farm, latest first."""
    return reader.frame(FARM_SEASONS, {"farm": farm})


def farm_sessions(reader: Reader, farm: str, season: int) -> pd.DataFrame:
    """Rows of `session_summary` of a farm in a season, earliest session first."""
    return reader.frame(SESSIONS, {"farm": farm, "season": season})


def farm_distribution(reader: Reader, farm: str, season: int) -> pd.DataFrame:
    """Rows of `score_distribution` of a farm in a season, earliest session first."""
    return reader.frame(DISTRIBUTION, {"farm": farm, "season": season})


def farm_readiness(reader: Reader, farm: str, season: int) -> pd.DataFrame:
    """Rows of `readiness` of a farm in a season: its groups and ALL."""
    return reader.frame(READINESS, {"farm": farm, "season": season})


def farm_ewes(reader: Reader, farm: str, season: int) -> pd.DataFrame:
    """Rows of `ewe_action` of a farm in a season, by group, thinnest first."""
    return reader.frame(EWES, {"farm": farm, "season": season})


def farm_thinnest_ewes(reader: Reader, farm: str, season: int, rows: int) -> pd.DataFrame:
    """At most `rows` of `farm_ewes`, the thinnest, by group.

    `found` is how many ewes there are in all, `of_action` for how many of them the same is suggested, by the
    same day.
    """
    return reader.frame(THINNEST, {"farm": farm, "season": season, "rows": rows})


def farm_call(reader: Reader, farm: str, season: int) -> pd.DataFrame:
    """The row of `call_list` of a farm in a season, if it has one."""
    return reader.frame(CALL, {"farm": farm, "season": season})


def farm_past(reader: Reader, farm: str) -> pd.DataFrame:
    """`session_summary` of the last whole session before the rams went in, of each season that has one."""
    return reader.frame(PAST, {"farm": farm})


def farm_ewe_history(reader: Reader, farm: str) -> pd.DataFrame:
    """Rows of `ewe_history` of a farm: every score of every identified ewe."""
    return reader.frame(HISTORY, {"farm": farm})


def farm_trend(reader: Reader, farm: str) -> pd.DataFrame:
    """The farm's session at one stage, that of its latest session, in every season; latest first.

    Columns `season`, `stage`, `scored_on`, `thin`, `ewes`, `flock_ewes`.
    """
    return reader.frame(TREND, {"farm": farm})


def farm_standings(reader: Reader, farm: str) -> pd.DataFrame:
    """Rows of `farm_standing` of a farm, latest season first."""
    return reader.frame(STANDINGS, {"farm": farm})
