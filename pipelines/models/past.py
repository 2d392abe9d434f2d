"""Goes through past seasons: predicts each later session from the earlier ones only, and sees what came."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipelines.models import growth
from pipelines.models.digits import DIGITS
from pipelines.models.ready import gaining_since, histogram, known_of
from pipelines.readiness.backtest import nothing_changes, one_score_in_45_days, outcomes
from pipelines.readiness.gain import published
from pipelines.readiness.projection import Cells, Groups, Predicted, project, project_together
from pipelines.settings import Settings

PAST_SESSION = ["farm", "season", "scored_on", "next_on"]
PAST_GROUP = [*PAST_SESSION, "group"]
MINE, STILL, QUICK = "this working", "nothing changes", "one score in 45 days"
METHODS = (MINE, STILL, QUICK)
LEARNED = ["farm", "season", "scored_on"]
FEWEST = 5  # ewes in either session; the share of fewer says nothing of a working


def predicted(
    cells: pd.DataFrame, seen: pd.DataFrame, before: dict[int, growth.Known], settings: Settings
) -> pd.DataFrame:
    """Rows of `backtest`, one per session predicted and method.

    `cells` are those of `staging/past_cell.sql`, sorted; `seen` rows of `growth_interval`; `before` what was
    known of the practice before each season. Nothing of the day predicted or later is used.
    """
    cells = cells[(cells.groupby(PAST_SESSION)["ewes"].transform("sum") >= FEWEST)
                  & (cells["next_ewes"] >= FEWEST)]  # fmt: skip
    cells = cells.assign(
        gaining_since=gaining_since(cells), days=(cells["next_on"] - cells["scored_on"]).dt.days
    )
    firsts = {name: (name, "first") for name in cells.columns.drop([*PAST_GROUP, "score", "ewes"])}
    sessions = cells.groupby(PAST_SESSION, sort=True, as_index=False).agg(
        ewes=("ewes", "sum"), grazing_named=("stated", "min"), **firsts
    )
    observed = (sessions["next_ready"] / sessions["next_ewes"]).to_numpy(float)
    told = _told(cells, sessions, firsts, seen, before, settings) if len(sessions) else []
    rows = [_row(sessions, observed, method, each) for method, each in zip(METHODS, told, strict=bool(told))]
    return pd.concat(rows) if rows else _row(sessions, observed, MINE, _no_prediction())


def _told(
    cells: pd.DataFrame,
    sessions: pd.DataFrame,
    firsts: dict[str, tuple[str, str]],
    seen: pd.DataFrame,
    before: dict[int, growth.Known],
    settings: Settings,
) -> list[Predicted]:
    """What each of `METHODS` says of each session."""
    groups = cells.groupby(PAST_GROUP, sort=True, as_index=False).agg(ewes=("ewes", "sum"), **firsts)
    groups = groups.merge(_learned(sessions, seen, before, settings), on=LEARNED)
    groups = groups.sort_values(PAST_GROUP, ignore_index=True).assign(
        grazing_named=lambda rows: rows["stated"] == 1
    )
    session_of = groups.groupby(PAST_SESSION, sort=True).ngroup().to_numpy().astype(np.intp)
    part = groups["ewes"].to_numpy(float) / sessions["ewes"].to_numpy(float)[session_of]
    groups = groups.assign(flock=groups["flock_ewes"].astype(float) * part)
    mine = _groups(groups, settings)
    recorded = np.maximum(groups["next_ewes"].to_numpy(float) * part, 1.0)
    counted, ewes = histogram(cells, PAST_GROUP), groups["ewes"].to_numpy(float)
    told = project_together(project(counted, mine, recorded=recorded), session_of, ewes).predicted
    whole, rival = _whole(cells), _rival(sessions)
    later = sessions["next_ewes"].to_numpy(float)
    return [told, *(says(whole, rival, later) for says in (nothing_changes, one_score_in_45_days))]


def _learned(
    sessions: pd.DataFrame, seen: pd.DataFrame, before: dict[int, growth.Known], settings: Settings
) -> pd.DataFrame:
    sessions = sessions.drop_duplicates(LEARNED)  # whatever is predicted from it, a session knows the same
    known = [before[int(season)] for season in sessions["season"]]
    return growth.learned(sessions, seen, known, settings)


def _groups(rows: pd.DataFrame, settings: Settings) -> Groups:
    days, low, high = (rows[name].to_numpy(float) for name in ("days", "target_low", "target_high"))
    return Groups(days, low, high, **known_of(rows, days, settings))


def _rival(rows: pd.DataFrame) -> Groups:
    """What rivals look at: days, band and step."""
    days, low, high, step = (
        rows[name].to_numpy(float) for name in ("days", "target_low", "target_high", "step")
    )
    return Groups(days, low, high, step, np.full(len(rows), np.nan), published(["ordinary"] * len(rows)))


def _whole(cells: pd.DataFrame) -> Cells:
    """The groups of each session put together."""
    counted = cells.groupby([*PAST_SESSION, "score"], sort=True)["ewes"].sum().reset_index()
    return histogram(counted, PAST_SESSION)


def _row(sessions: pd.DataFrame, observed: NDArray[np.float64], method: str, says: Predicted) -> pd.DataFrame:
    found = outcomes(says, observed)
    return pd.DataFrame(
        {
            **{name: sessions[name] for name in LEARNED},
            "predicted_on": sessions["next_on"],
            **{name: sessions[name] for name in ("stage", "next_stage", "nearest")},
            "method": method,
            "grazing_named": sessions["grazing_named"].astype(bool),
            "days": sessions["days"],
            "ewes": sessions["ewes"],
            "recorded_ewes": sessions["next_ewes"],
            "observed": observed,
            **{name: getattr(found, name).round(DIGITS)
               for name in ("expected", "low", "high", "crps", "place", "held")},
        }
    )  # fmt: skip


def _no_prediction() -> Predicted:
    return Predicted(np.empty((0, 1)), np.empty((0, 1)), np.ones(1))
