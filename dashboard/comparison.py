"""What *Compare* shows: like flocks side by side, luck allowed for, each with its change since last "
"season."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import numpy as np
import pandas as pd

from dashboard.scoring import Agreement, agreements
from dashboard.views.state import CompareState
from pipelines import queries
from pipelines.queries import Reader
from pipelines.settings import SYSTEMS
from pipelines.statistics.standing import standing
from pipelines.statistics.trend import Shares, change_in_share
from pipelines.statistics.what_would_it_take import best_quarter, ewes_to_move

USUAL_WEEKS = 3
FEWEST_FOR_QUARTERS = 4


@dataclass(frozen=True, slots=True)
class Compare:
    """Flocks of one system at one stage, scored within `weeks` of the middle flock's day before rams in.

    `sessions`: session_summary rows with `name`, `breed`, `days_before` rams in, the standing among the
    flocks shown (`adjusted`, `adjusted_low`, `adjusted_high`, `chance`, `rank`, `rank_low`, `rank_high`),
    `to_move` (ewes to the best quarter; NaN under four flocks) and the change of the share thin since last
    season's session at the stage (`change`, `change_low`, `change_high`; NaN where there is none).
    `scores`: their distributions. `outside`: flocks left out as scored much earlier or later.
    `pairs`: how well scorers agree, where ewes were scored twice.
    """

    as_of: date
    too_many: float
    seasons: list[int]
    season: int
    system: str
    stage: str
    breeds: list[str]
    weeks: int | None
    sessions: pd.DataFrame
    scores: pd.DataFrame
    outside: int
    pairs: tuple[Agreement, ...]


def compare(reader: Reader, state: CompareState, usual_stage: str, season: int) -> Compare:
    """The flocks that `state` asks for; without a choice of system the first one."""
    about = queries.about(reader)
    system, stage = state.system or SYSTEMS[0], state.stage or usual_stage
    every = queries.compare_sessions(reader, season, stage, system)
    every["days_before"] = (every["rams_in"] - every["scored_on"]).dt.days
    alike = every if state.breed is None else every[every["breed"] == state.breed]
    weeks = _weeks(state)
    shown = alike[_near_the_middle(alike["days_before"], weeks)].reset_index(drop=True)
    if len(shown):
        shown = _with_move(_with_change(_with_standing(shown, len(every), about.thin_limit)))
    scores = queries.compare_distribution(reader, season, stage, system)
    return Compare(
        as_of=about.as_of,
        too_many=about.thin_limit,
        seasons=queries.seasons(reader),
        season=season,
        system=system,
        stage=stage,
        breeds=sorted(every["breed"].dropna().unique()),
        weeks=weeks,
        sessions=shown,
        scores=scores[scores["farm"].isin(shown["farm"])],
        outside=len(alike) - len(shown),
        pairs=agreements(queries.every_scorer_pair(reader)),
    )


def _weeks(state: CompareState) -> int | None:
    if state.window == "any":
        return None
    return int(state.window) if state.window else USUAL_WEEKS


def _near_the_middle(days_before: pd.Series[int], weeks: int | None) -> pd.Series[bool]:
    if weeks is None:
        return days_before.notna()
    return (days_before - days_before.median()).abs() <= 7 * weeks


def _with_standing(sessions: pd.DataFrame, every: int, limit: float) -> pd.DataFrame:
    """Standing among the flocks shown: as published where these are all its like, else worked out anew."""
    if (sessions["compared"] == every).all() and len(sessions) == every:
        return sessions
    found = standing(
        sessions["thin"], sessions["ewes"], flock=sessions["flock_ewes"].astype(float), limit=limit
    )
    return sessions.assign(
        adjusted=found.adjusted,
        adjusted_low=found.low,
        adjusted_high=found.high,
        chance=found.chance_too_many,
        rank=found.rank,
        rank_low=found.rank_low,
        rank_high=found.rank_high,
    )


def _with_change(sessions: pd.DataFrame) -> pd.DataFrame:
    names = ["change", "change_low", "change_high"]
    known = sessions[sessions["before_ewes"].notna()]
    found = sessions.assign(**dict.fromkeys(names, np.nan))
    if known.empty:
        return found
    moved = change_in_share(
        Shares(known["before_thin"], known["before_ewes"], known["before_flock"].astype(float)),
        Shares(known["thin"], known["ewes"], known["flock_ewes"].astype(float)),
    )
    found.loc[known.index, names] = np.column_stack([moved.change, moved.low, moved.high])
    return found


def _with_move(sessions: pd.DataFrame) -> pd.DataFrame:
    """Ewes of the whole flock, by the share that allows for luck, so that a lucky sample sets no mark."""
    if len(sessions) < FEWEST_FOR_QUARTERS:
        return sessions.assign(to_move=np.nan)
    flock = sessions["flock_ewes"].fillna(sessions["ewes"]).astype(float)
    mark = best_quarter(sessions["adjusted"])
    return sessions.assign(to_move=ewes_to_move(sessions["adjusted"] * flock, flock, mark))
