"""Readiness of every group, session and score, projected in one call for all farms."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipelines import reference
from pipelines.readiness.gain import published
from pipelines.readiness.projection import Cells, Groups, Projection, days_needed, project, project_together
from pipelines.settings import Settings

SESSION = ["farm", "season"]
GROUP = [*SESSION, "group"]
SHARED = ["scored_on", "is_latest", "stage", "system", "flock_ewes", "rams_in", "ready_by", "target_low",
          "target_high", "step", "days_left", "days_ahead", "days_ahead_of_today"]  # fmt: skip
SHARES = ["ready_share", "ready_share_low", "ready_share_high"]
SHARES += [f"{name}_{part}" for name in ("on_best", "still_thin") for part in ("share", "low", "high")]
CHANCES = ["chance_ready", "chance_on_best", "chance_still_thin"]
BOTTOM = -10.0  # a score that no ewe falls below
# the last bits of a sum depend on how many groups are summed at once; a build of some farms must give the
# same figures as one of all
DIGITS = 9


def days_per_score(settings: Settings) -> float:
    """Median days to gain one score on best grazing: the adviser's, else the reference's."""
    chosen = settings.gain.get("best") or reference.days_per_score()["best"]
    return chosen.median


def dated(cells: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Cells of `staging/tupping_cell.sql` with days left and needed, as of the adviser's today."""
    today = pd.Timestamp(settings.today())
    ahead = cells["ready_by"] - cells["scored_on"]
    needed = days_needed(cells["score"], cells["target_low"], days_per_score(settings))
    return cells.assign(
        days_left=(cells["ready_by"] - today).dt.days,
        days_ahead=ahead.dt.days,
        days_ahead_of_today=(today - cells["scored_on"]).dt.days.clip(upper=ahead.dt.days.clip(lower=0)),
        days_needed=needed,
        inside=cells["ewes"].where(cells["score"].between(cells["target_low"], cells["target_high"]), 0),
        below=cells["ewes"].where(needed > 0, 0),
        thin=cells["ewes"].where(cells["score"] < cells["thin_below"], 0),
    )


def readiness_figures(cells: pd.DataFrame, settings: Settings) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Rows of `readiness`, and one row per cell with the chances of a ewe with that score.

    `cells` are those of `staging/tupping_cell.sql`, sorted by farm, season, group and score.
    """
    cells = dated(cells, settings)
    groups, sessions = _summed(cells, GROUP), _summed(cells, SESSION).assign(group="ALL")
    if cells.empty:  # nothing to project, but the tables still get their columns
        shares = dict.fromkeys(SHARES, pd.Series(dtype=float))
        return sessions.assign(**shares), cells.assign(**dict.fromkeys(CHANCES, pd.Series(dtype=float)))
    session_of = groups.groupby(SESSION, sort=True).ngroup().to_numpy().astype(np.intp)
    # the size of a single group is not registered: its ewes are taken to be scored in the flock's proportion
    flock = groups["ewes"] * (sessions["flock_ewes"].astype(float) / sessions["ewes"]).to_numpy()[session_of]
    projections = _projected(cells, groups.assign(flock=flock), settings)
    ewes = groups["ewes"].to_numpy(float)
    together = [project_together(each, session_of, ewes) for each in projections]
    rows = pd.concat([_with_shares(groups, projections), _with_shares(sessions, together)])
    chances = (each.chance.round(DIGITS) for each in projections)
    return rows, cells.assign(**dict(zip(CHANCES, chances, strict=True)))


def _summed(cells: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    """One row per group or session: what its cells share, and its ewes counted."""
    cells = cells.assign(
        ewes_unlikely=cells["below"].where(cells["days_needed"] > cells["days_left"], 0),
        median_of=cells.groupby(by, sort=True).ngroup(),
    )
    found = cells.groupby(by, sort=True, as_index=False).agg(
        **{name: (name, "first") for name in SHARED},
        grazing=("grazing", "min"),
        last_grazing=("grazing", "max"),
        ewes=("ewes", "sum"),
        thin=("thin", "sum"),
        ready_now=("inside", "sum"),
        ewes_to_gain=("below", "sum"),
        ewes_unlikely=("ewes_unlikely", "sum"),
    )
    return found.assign(
        grazing=found["grazing"].where(found["grazing"] == found["last_grazing"], "mixed"),
        ready_now_share=found["ready_now"] / found["ewes"],
        days_needed_median=_medians(cells, len(found)),
        gain_source="published range",
        why_not=None,
    )


def _medians(cells: pd.DataFrame, n_groups: int) -> NDArray[np.float64]:
    """Median days needed over the ewes below target in each group; NaN where there are none.

    Worked on counts: with the cells in order of need, the middle ewes are found in the running total.
    """
    below = cells[cells["below"] > 0].sort_values(["median_of", "days_needed"])
    number = np.bincount(below["median_of"], below["below"], n_groups).astype(np.intp)
    total = np.cumsum(below["below"].to_numpy())
    before = np.cumsum(number) - number
    days = np.append(below["days_needed"].to_numpy(), np.nan)
    lower, upper = (
        days[np.searchsorted(total, before + middle, side="right")]
        for middle in ((number - 1) // 2, number // 2)
    )
    return np.where(number > 0, (lower + upper) / 2, np.nan)


def _projected(cells: pd.DataFrame, groups: pd.DataFrame, settings: Settings) -> list[Projection]:
    """Each group ready as it is grazed, ready on best grazing from today, and thin still as it is grazed."""
    histogram = Cells(
        cells.groupby(GROUP, sort=True).ngroup().to_numpy().astype(np.intp),
        cells["score"].to_numpy(float),
        cells["ewes"].to_numpy(float),
    )
    named = ("target_low", "target_high", "step", "flock", "days_ahead", "days_ahead_of_today")
    low, high, step, flock, ahead, so_far = (groups[name].to_numpy(float) for name in named)
    days = np.maximum(ahead, 0)
    known: dict[str, Any] = {
        "step": step,
        "flock": flock,
        "rates": published(groups["grazing"].tolist(), settings.gain),
    }
    best = published(["best"] * len(groups), settings.gain)
    moved = Groups(so_far, low, high, later_days=days - so_far, later_rates=best, **known)
    # thin is the next score below the band and all under it
    thin = Groups(days, np.full_like(low, BOTTOM), low - step, **known)
    return [project(histogram, each) for each in (Groups(days, low, high, **known), moved, thin)]


def _with_shares(rows: pd.DataFrame, projections: list[Projection]) -> pd.DataFrame:
    shares = (part for each in projections for part in (each.ready_share, each.low, each.high))
    return rows.assign(**{name: share.round(DIGITS) for name, share in zip(SHARES, shares, strict=True)})
