"""What concerns the practice as a whole: seasons, farms, and the list of who needs attention."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import pandas as pd

from pipelines.queries.reader import Reader

SEASONS = "select distinct season from farm_season order by season desc"
# until three weeks after the rams went in, a season is the one that is being worked for
CURRENT = """
    select coalesce(min(season) filter (where rams_in + 21 >= about.as_of), max(season))
    from farm_season cross join about
"""
ABOUT = "select as_of, thin_limit from about"
CALL_LIST = """
    select * from call_list
    where season = $season
        and (cast($system as varchar) is null or system = $system)
        and (cast($status as varchar) is null or status = $status)
        and (cast($discussion_group as varchar) is null or discussion_group = $discussion_group)
        and (cast($stage as varchar) is null or stage = $stage)
    order by urgency
"""
FARMS = """
    select farm as code, name from (
        select farm, name, row_number() over (partition by farm order by season desc) as place
        from farm_season
    ) as named
    where place = 1
    order by code
"""


@dataclass(frozen=True, slots=True)
class About:
    """The day that counts as today in the published tables, and the share above which too many are thin."""

    as_of: date
    thin_limit: float


def seasons(reader: Reader) -> list[int]:
    """Seasons with a registered farm, latest first."""
    return [season for (season,) in reader.rows(SEASONS)]


def current_season(reader: Reader) -> int | None:
    """The season that is being worked for on the day of publication; None before anything is registered."""
    ((season,),) = reader.rows(CURRENT)
    return None if season is None else int(season)


def about(reader: Reader) -> About:
    """What holds for the whole publication."""
    (row,) = reader.rows(ABOUT)
    return About(*row)


def call_list(
    reader: Reader,
    season: int,
    system: str | None = None,
    status: str | None = None,
    discussion_group: str | None = None,
    stage: str | None = None,
) -> pd.DataFrame:
    """Rows of `call_list` of a season, most urgent first; what is None does not filter."""
    chosen = {"season": season, "system": system, "status": status}
    return reader.frame(CALL_LIST, chosen | {"discussion_group": discussion_group, "stage": stage})


def farms(reader: Reader) -> pd.DataFrame:
    """`code` and latest `name` of every farm, in order of code."""
    return reader.frame(FARMS)
