"""One farm: its page, and the plan of a visit."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import pandas as pd

from dashboard.brief import gather
from dashboard.brief.next_time import expected
from dashboard.brief.tables import BriefError, Tables, rows
from dashboard.data.published import about, settings
from dashboard.views.state import FarmState
from pipelines import queries
from pipelines.queries import Reader
from pipelines.queries.what_if import Outlook
from pipelines.warehouse.alike import UNKNOWN, alike
from pipelines.warehouse.errors import WrongUseError

EWES_SHOWN = 100


@dataclass(frozen=True, slots=True)
class HeldBack:
    """What has come of a farm in a season but cannot be judged: `reasons` and `scores` hold rows of
    `held_back` and `held_back_score`, `years` the seasons in which the farm has a page."""

    as_of: date
    code: str
    name: str
    season: int
    years: tuple[int, ...]
    reasons: pd.DataFrame
    scores: pd.DataFrame


@dataclass(frozen=True, slots=True)
class FarmPage:
    """One farm in one season, with its past seasons; frames hold rows of the published tables."""

    as_of: date
    too_many: float
    season: int
    register: pd.DataFrame
    calls: pd.DataFrame
    sessions: pd.DataFrame
    scores: pd.DataFrame
    readiness: pd.DataFrame
    ewes: pd.DataFrame
    past: pd.DataFrame
    trend: pd.DataFrame
    growth: pd.DataFrame = field(default_factory=pd.DataFrame)
    planned: Outlook | None = None
    held: HeldBack | None = None


def farm(reader: Reader, code: str, state: FarmState) -> FarmPage | None:
    """What the page of a registered farm shows; None when the register has no such farm for this visitor, or
    not in the season asked for."""
    found = arrived(reader, code, state)
    return found if isinstance(found, FarmPage) else None


def arrived(reader: Reader, code: str, state: FarmState) -> FarmPage | HeldBack | None:
    """What the page of any farm shows: `HeldBack` where the register does not have it in the season asked
    for; None when nothing of it has come that this visitor may see."""
    published = about(reader)
    if published is None:
        return None
    registered = queries.farm_seasons(reader, code)
    held = _held_back(reader, code, state, published.as_of, registered)
    years = [int(year) for year in registered["season"]]
    if not years:
        return held
    season = held.season if held else _season(reader, years, state)
    if season not in years:
        return held
    row = registered[registered["season"] == season]
    readiness = queries.farm_readiness(reader, code, season)
    return FarmPage(
        as_of=published.as_of,
        too_many=published.thin_limit,
        season=season,
        register=row,
        calls=queries.farm_call(reader, code, season),
        sessions=queries.farm_sessions(reader, code, season),
        scores=queries.farm_distribution(reader, code, season),
        readiness=readiness,
        ewes=queries.farm_thinnest_ewes(reader, code, season, EWES_SHOWN),
        past=queries.farm_past(reader, code),
        trend=queries.farm_trend(reader, code),
        growth=queries.farm_growth(reader, code, season),
        planned=queries.planned(reader, next(rows(row)), state.plan(), readiness),
        held=held,
    )


def meant(reader: Reader, code: str, held: HeldBack | None) -> list[tuple[str, str]]:
    """Code and name of the farms that this visitor may see and that `code`, in no register, may stand for."""
    elsewhere = held is not None and not (held.reasons["code"] == UNKNOWN).any()
    if elsewhere or about(reader) is None:
        return []
    known = queries.farm_names(reader)
    return [(found, known[found]) for found in alike(code, known)]


def _held_back(
    reader: Reader, code: str, state: FarmState, as_of: date, registered: pd.DataFrame
) -> HeldBack | None:
    """What of a farm cannot be judged in the season asked for, whether the register has it there or not."""
    reasons = queries.farm_held_back(reader, code)
    if reasons.empty:
        return None
    years = sorted({int(year) for rows in (registered, reasons) for year in rows["season"]}, reverse=True)
    season = _season(reader, years, state)
    of_season = reasons[reasons["season"] == season]
    if of_season.empty:
        return None
    names = [*of_season["name"].dropna(), *registered["name"].dropna(), code]
    return HeldBack(
        as_of=as_of,
        code=code,
        name=str(names[0]),
        season=season,
        years=tuple(years),
        reasons=of_season,
        scores=queries.farm_held_back_scores(reader, code, season),
    )


def visit(reader: Reader, code: str, season: int | None) -> Tables | str:
    """One farm's tables for the plan of a visit, or the sentence why it cannot be planned."""
    if about(reader) is None:
        return "Nothing has been imported yet: bring the farm register and a score file on Files."
    try:
        found = gather.tables(reader, settings(), code, season)
        found.dates()
        expected(found)
    except (BriefError, WrongUseError) as error:
        return str(error)
    return found


def _season(reader: Reader, years: list[int], state: FarmState) -> int:
    """The season asked for if it is one of `years`, else the one in hand, else the latest."""
    if state.season in years:
        return state.season
    current = queries.current_season(reader)
    return current if current in years else years[0]
