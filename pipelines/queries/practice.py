"""What concerns the practice as a whole: seasons, farms, and the list of who needs attention."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import asdict, dataclass
from datetime import date

import pandas as pd

from pipelines.queries.reader import Reader

SEASONS = "select distinct season from call_list order by season desc"
# until three weeks after the rams went in, a season is the one that is being worked for
CURRENT = """
    select coalesce(min(season) filter (where rams_in + 21 >= about.as_of), max(season))
    from call_list cross join about
"""
ABOUT = "select as_of, thin_limit from about"
CHOSEN = """
    from call_list
    where season = $season
        and (cast($system as varchar) is null or system = $system)
        and (cast($status as varchar) is null or status = $status)
        and (cast($discussion_group as varchar) is null or discussion_group = $discussion_group)
        and (cast($stage as varchar) is null or stage = $stage)
        and (
            cast($find as varchar) is null
            or contains(lower(coalesce(name, '') || ' ' || farm), lower($find))
        )
"""
CALL_LIST = "select *" + CHOSEN + "order by urgency"
CALL_PAGE = CALL_LIST + " limit $rows offset $after"
CALL_COUNT = "select count(*)" + CHOSEN
OVERVIEW = """
    select status, stage, discussion_group, count(*), max(thin_share_high)
    from call_list
    where season = $season and (cast($system as varchar) is null or system = $system)
    group by status, stage, discussion_group
"""
DATES = """
    select f.farm, f.name, f.rams_in, f.ready_by, r.scored_on, r.target_low
    from farm_season as f
    left join readiness as r on r.farm = f.farm and r.season = f.season and r."group" = 'ALL'
    where f.season = $season
    order by f.farm
"""
LATEST_SCORES = """
    select d.farm, d.score, cast(sum(d.ewes) as integer) as ewes
    from score_distribution as d
    join readiness as r
        on r.farm = d.farm and r.season = d.season and r.scored_on = d.scored_on and r."group" = 'ALL'
    where d.season = $season and d."group" <> 'ALL'
    group by d.farm, d.score
    order by d.farm, d.score
"""
RESCORING = """
    select distinct farm, rescore_by from ewe_action
    where season = $season and rescore_by is not null
    order by farm, rescore_by
"""
LEARNED = """
    select farm, grazing, learned_median, learned_low, learned_high
    from farm_growth
    where season = $season and intervals > 0 and learned_median is not null
        and (cast($farm as varchar) is null or farm = $farm)
    order by farm, grazing
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


@dataclass(frozen=True, slots=True)
class Overview:
    """A season's call list in figures: flocks by status and by stage last scored, its discussion groups,
    and the largest upper end of a share thin (0–1; None when nothing is scored)."""

    statuses: Mapping[str, int]
    stages: Mapping[str, int]
    groups: tuple[str, ...]
    widest: float | None


def seasons(reader: Reader) -> list[int]:
    """Seasons with a farm that is registered or waits to be, latest first."""
    return [season for (season,) in reader.rows(SEASONS)]


def current_season(reader: Reader) -> int | None:
    """The season that is being worked for on the day of publication; None before anything has come."""
    ((season,),) = reader.rows(CURRENT)
    return None if season is None else int(season)


def about(reader: Reader) -> About:
    """What holds for the whole publication."""
    (row,) = reader.rows(ABOUT)
    return About(*row)


@dataclass(frozen=True, slots=True)
class Chosen:
    """Which rows of the call list; what is None does not filter, `find` is part of a name or code."""

    system: str | None = None
    status: str | None = None
    discussion_group: str | None = None
    stage: str | None = None
    find: str | None = None


EVERY = Chosen()


def call_list(reader: Reader, season: int, chosen: Chosen = EVERY) -> pd.DataFrame:
    """Rows of `call_list` of a season, most urgent first."""
    return reader.frame(CALL_LIST, {"season": season} | asdict(chosen))


def call_page(reader: Reader, season: int, chosen: Chosen, rows: int, after: int) -> pd.DataFrame:
    """At most `rows` of `call_list`, leaving out the first `after`."""
    return reader.frame(CALL_PAGE, {"season": season, "rows": rows, "after": after} | asdict(chosen))


def call_count(reader: Reader, season: int, chosen: Chosen) -> int:
    """How many flocks of the season are chosen."""
    ((found,),) = reader.rows(CALL_COUNT, {"season": season} | asdict(chosen))
    return int(found)


def overview(reader: Reader, season: int, system: str | None = None) -> Overview:
    """The call list of a season, or of its farms of one system, in figures."""
    statuses: Counter[str] = Counter()
    stages: Counter[str] = Counter()
    rows = reader.rows(OVERVIEW, {"season": season, "system": system})
    for status, stage, _group, flocks, _widest in rows:
        statuses[status] += flocks
        if stage is not None:
            stages[stage] += flocks
    groups = {group for _status, _stage, group, _flocks, _widest in rows if group is not None}
    widest = [share for *_parts, share in rows if share is not None]
    return Overview(statuses, stages, tuple(sorted(groups)), max(widest, default=None))


def season_dates(reader: Reader, season: int) -> pd.DataFrame:
    """Every farm of a season: `farm, name, rams_in, ready_by`, and of its latest session before tupping
    `scored_on` and the lower end of the tupping band, `target_low`."""
    return reader.frame(DATES, {"season": season})


def season_scores(reader: Reader, season: int) -> pd.DataFrame:
    """`farm, score, ewes` of every farm's latest session before tupping."""
    return reader.frame(LATEST_SCORES, {"season": season})


def season_rescoring(reader: Reader, season: int) -> pd.DataFrame:
    """`farm, rescore_by`: the days by which identified ewes are to be scored again."""
    return reader.frame(RESCORING, {"season": season})


def season_growth(reader: Reader, season: int, farm: str | None = None) -> pd.DataFrame:
    """Days per score that the farms' own sessions have taught, or those of one farm: `farm, grazing,
    learned_median, learned_low, learned_high`; a farm without two sessions has no row."""
    return reader.frame(LEARNED, {"season": season, "farm": farm})


def farms(reader: Reader) -> pd.DataFrame:
    """`code` and latest `name` of every farm, in order of code."""
    return reader.frame(FARMS)


def farm_names(reader: Reader) -> dict[str, str]:
    """Code → latest name of every farm, in order of code; `""` where the register gives none."""
    return {str(code): str(name or "") for code, name in reader.rows(FARMS)}
