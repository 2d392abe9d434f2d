"""Readiness of every group, session and score, projected in one call for all farms."""

from __future__ import annotations

from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipelines import reference
from pipelines.models import pace
from pipelines.models.digits import DIGITS
from pipelines.models.farm_growth import GAINING
from pipelines.readiness.condition import Offset
from pipelines.readiness.decisions import unlikely
from pipelines.readiness.gain import Rates, published
from pipelines.readiness.holding import GoingOn
from pipelines.readiness.learning import learned_rates
from pipelines.readiness.projection import Cells, Groups, Projection, days_needed, project, project_together
from pipelines.readiness.timing import why_not
from pipelines.settings import Grazing, Settings

SESSION = ["farm", "season"]
GROUP = [*SESSION, "group"]
SHARED = ["scored_on", "is_latest", "stage", "system", "flock_ewes", "rams_in", "ready_by", "target_low",
          "target_high", "step", "days_left", "days_ahead", "days_ahead_of_today", "gaining_since",
          "units_mean", "units_sd", "offset_mean", "offset_slope", "offset_sd", *pace.COLUMNS,
          "intervals", "going_on", "going_on_sd"]  # fmt: skip
SHARES = ["ready_share", "ready_share_low", "ready_share_high"]
SHARES += [f"{name}_{part}" for name in ("on_best", "still_thin") for part in ("share", "low", "high")]
CHANCES = ["chance_ready", "chance_on_best", "chance_still_thin"]
BOTTOM = -10.0  # a score that no ewe falls below
JUST_BELOW = 1e-6  # of a score: thin is all that is below the band, on whatever step
LONE = "cannot be projected because only one ewe of the group was scored; see what is said of her by name"


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
        gaining_since=(cells["scored_on"] - cells["weaned_on"])
        .dt.days.clip(lower=0)
        .astype(float)
        .fillna(0.0),
        days_needed=needed,
        inside=cells["ewes"].where(cells["score"].between(cells["target_low"], cells["target_high"]), 0),
        below=cells["ewes"].where(needed > 0, 0),
        thin=cells["ewes"].where(cells["score"] < cells["thin_below"], 0),
    )


def readiness_figures(
    cells: pd.DataFrame, settings: Settings, move_to: Grazing = "best"
) -> tuple[pd.DataFrame, pd.DataFrame]:
    """Rows of `readiness`, and one row per cell with the chances of a ewe with that score.

    What is called 'on best' holds for ewes moved today, to best grazing or (`move_to`) another class.

    `cells` are those of `staging/tupping_cell.sql` with what `models.growth` learned of their session, sorted
    by farm, season, group and score. What cannot be projected has no chances, and says `why_not`.
    """
    cells = dated(cells, settings)
    groups, sessions = _summed(cells, GROUP), _summed(cells, SESSION).assign(group="ALL")
    session_of = groups.groupby(SESSION, sort=True).ngroup().to_numpy().astype(np.intp)
    # the size of a single group is not registered: its ewes are taken to be scored in the flock's proportion
    scored = (sessions["flock_ewes"].astype(float) / sessions["ewes"]).to_numpy()
    groups = groups.assign(flock=groups["ewes"] * scored[session_of])
    sessions = sessions.assign(why_not=pd.Series(_reasons(sessions), dtype=object))
    groups = groups.assign(why_not=sessions["why_not"].to_numpy(object)[session_of])
    can = groups["why_not"].isna().to_numpy()
    cell_can = can[cells.groupby(GROUP, sort=True).ngroup().to_numpy(np.intp)]
    by_group = _projected(cells[cell_can], groups[can], settings, move_to) if can.any() else []
    part_of = np.unique(session_of[can], return_inverse=True)[1].astype(np.intp)
    ewes = groups["ewes"].to_numpy(float)[can]
    together = [project_together(each, part_of, ewes) for each in by_group]
    session_can = sessions["why_not"].isna().to_numpy()
    found = pd.concat([_with_shares(groups, can, by_group), _with_shares(sessions, session_can, together)])
    cells = cells.assign(**dict.fromkeys(CHANCES, np.nan))
    for name, each in zip(CHANCES, by_group, strict=bool(by_group)):
        cells[name] = _spread(cell_can, each.chance.round(DIGITS))
    return _lone(_with_unlikely(found, cells)), cells


def _reasons(sessions: pd.DataFrame) -> list[str | None]:
    """Why each session cannot be projected, or None."""
    days = [[None if pd.isna(day) else day.date() for day in sessions[name]]
            for name in ("scored_on", "rams_in", "ready_by")]  # fmt: skip
    rest = (sessions[name].tolist() for name in ("target_low", "target_high", "ewes"))
    return [why_not(*row) for row in zip(*days, *rest, strict=True)]


def _lone(rows: pd.DataFrame) -> pd.DataFrame:
    """A share of one ewe says nothing: she has a chance, in the list of ewes, but her group has no share."""
    lone = (rows["ewes"] == 1) & rows["why_not"].isna()
    shares = {name: rows[name].mask(lone) for name in SHARES}
    return rows.assign(why_not=rows["why_not"].mask(lone, LONE), **shares)


def _with_unlikely(rows: pd.DataFrame, cells: pd.DataFrame) -> pd.DataFrame:
    """`ewes_unlikely`: those below target who are less likely than not to be ready wherever they graze."""
    late = unlikely(cells["chance_ready"], cells["chance_on_best"])
    counted = cells.assign(ewes_unlikely=cells["below"].where(late, 0).astype(int))
    sums = [counted.groupby(by, sort=True)["ewes_unlikely"].sum().reset_index() for by in (GROUP, SESSION)]
    sums[1] = sums[1].assign(group="ALL")
    rows = rows.merge(pd.concat(sums), on=GROUP, how="left", sort=False)
    blocked = rows["why_not"].notna()
    return rows.assign(ewes_unlikely=rows["ewes_unlikely"].astype("Int64").mask(blocked))


def _spread(where: Any, values: NDArray[np.float64]) -> NDArray[np.float64]:
    """`values` at the places that are true, NaN elsewhere."""
    where = np.asarray(where, dtype=bool)
    found = np.full(len(where), np.nan)
    found[where] = values
    return found


def _summed(cells: pd.DataFrame, by: list[str]) -> pd.DataFrame:
    """One row per group or session: what its cells share, and its ewes counted."""
    groups = cells.groupby(by, sort=True)
    cells = cells.assign(median_of=groups.ngroup())
    # a few calls for all columns together: pandas takes a millisecond for each column named one by one
    counts = groups[["ewes", "thin", "inside", "below"]].sum()
    found = (
        groups[list(SHARED)]
        .first()
        .assign(
            grazing=groups["grazing"].min(),
            grazing_named=groups["stated"].min() == 1,
            last_grazing=groups["grazing"].max(),
            ewes=counts["ewes"],
            thin=counts["thin"],
            ready_now=counts["inside"],
            ewes_to_gain=counts["below"],
        )
    )
    found = found.reset_index()
    return found.assign(
        grazing=found["grazing"].where(found["grazing"] == found["last_grazing"], "mixed"),
        ready_now_share=found["ready_now"] / found["ewes"],
        days_needed_median=_medians(cells, len(found)),
        gain_source=np.where(found["intervals"] > 0, "this farm", "published range"),
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


def rates(grazing: list[Grazing], mean: Any, sd: Any, settings: Settings) -> Rates:
    """Rates of groups on these classes: published or set, and learned (standard units) where ewes gain."""
    lost = settings.days_per_score_lost
    known = published(grazing, settings.gain, cap=1 / lost if lost else None)
    gains = np.isin(grazing, GAINING)
    return learned_rates(known, np.where(gains, mean, 0.0), np.where(gains, sd, 1.0))


def known_of(groups: pd.DataFrame, days: NDArray[np.float64], settings: Settings) -> dict[str, Any]:
    """What `Groups` needs of groups besides their time and band, for a projection over so many `days`."""
    grazing, written = groups["grazing"].tolist(), groups["grazing_named"].to_numpy(bool)
    named = rates(grazing, groups["units_mean"].to_numpy(float), groups["units_sd"].to_numpy(float), settings)
    unnamed, gained, offset = pace.unwritten(groups, days, settings)
    since = np.where(np.isin(grazing, GAINING), groups["gaining_since"].to_numpy(float), 0.0)
    parts = ("mean", "slope", "sd")
    offsets = ((groups[f"offset_{part}"].to_numpy(float), getattr(offset, part)) for part in parts)
    return {
        "step": groups["step"].to_numpy(float),
        "flock": groups["flock"].to_numpy(float),
        "rates": named.otherwise(written, unnamed),
        "gaining_since": np.where(written, since, gained),
        "scorer_sd": settings.scorer_sd,
        "going_on": GoingOn(*(groups[name].to_numpy(float) for name in ("going_on", "going_on_sd"))),
        "offset": Offset(*(np.where(written, *each) for each in offsets)),
    }


def gaining_since(cells: pd.DataFrame) -> pd.Series[float]:
    """Days from weaning to scoring; 0 where the day of weaning is not known."""
    days = (cells["scored_on"] - cells["weaned_on"]).dt.days
    return days.clip(lower=0).astype(float).fillna(0.0)


def histogram(cells: pd.DataFrame, groups: list[str]) -> Cells:
    """Cells sorted by these columns as `project` takes them."""
    number = cells.groupby(groups, sort=True).ngroup().to_numpy().astype(np.intp)
    return Cells(number, cells["score"].to_numpy(float), cells["ewes"].to_numpy(float))


def _projected(
    cells: pd.DataFrame, groups: pd.DataFrame, settings: Settings, move_to: Grazing
) -> list[Projection]:
    """Each group ready as it is grazed, ready when moved today, and thin still as it is grazed."""
    named = ("target_low", "target_high", "days_ahead", "days_ahead_of_today")
    low, high, ahead, so_far = (groups[name].to_numpy(float) for name in named)
    days = np.maximum(ahead, 0)
    known, counted = known_of(groups, days, settings), histogram(cells, GROUP)
    on_best = groups["units_mean"].to_numpy(float), groups["units_sd"].to_numpy(float)
    best = rates([move_to] * len(groups), *on_best, settings)
    until = known_of(groups, so_far, settings)
    moved = Groups(so_far, low, high, later_days=days - so_far, later_rates=best, **until)
    # its upper edge is the lower one of the band, where no ewe is held
    thin = Groups(days, np.full_like(low, BOTTOM), low - JUST_BELOW, **(known | {"going_on": None}))
    return [project(counted, each) for each in (Groups(days, low, high, **known), moved, thin)]


def _with_shares(rows: pd.DataFrame, can: NDArray[np.bool_], projections: list[Projection]) -> pd.DataFrame:
    shares = [part for each in projections for part in (each.ready_share, each.low, each.high)]
    rows = rows.assign(**dict.fromkeys(SHARES, np.nan))
    for name, share in zip(SHARES, shares, strict=bool(shares)):
        rows[name] = _spread(can, share.round(DIGITS))
    return rows
