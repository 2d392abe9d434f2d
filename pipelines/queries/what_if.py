"""What if: a farm's readiness with other dates, grazing or places, worked out as the published one is."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from functools import partial
from pathlib import Path

import numpy as np
import pandas as pd

from pipelines import reference
from pipelines.models.ready import readiness_figures
from pipelines.queries.reader import Reader
from pipelines.readiness.allocation import Allocation, allocate
from pipelines.settings import DaysPerScore, Grazing, Settings

CELLS = 'select * from readiness_cell where farm = $farm and season = $season order by "group", score'
GROWTH = "select * from farm_growth where farm = $farm and season = $season order by grazing"
TERMS = "select * from about"
GRAZED = ["grazing", "stated"]


@dataclass(frozen=True, slots=True)
class Plan:
    """What is changed; None and an empty mapping leave what is registered. `grazing` is by group."""

    rams_in: date | None = None
    flush_days: int | None = None
    places: int | None = None
    grazing: Mapping[str, Grazing] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Lambing:
    """The day on which lambing is to begin, and the days it may begin between."""

    expected: date
    earliest: date
    latest: date


@dataclass(frozen=True, slots=True)
class Outlook:
    """A farm under a plan: `readiness` as the published table; `cells` with chances, one per group and score.

    `allocation` belongs to those rows of `cells` (in order) and `places`; None without places or a
    projection. It may also leave ewes off best grazing that are on it now.
    """

    readiness: pd.DataFrame
    cells: pd.DataFrame
    rams_in: date
    flush_days: int
    ready_by: date
    lambing: Lambing
    places: int | None
    allocation: Allocation | None


def readiness_cells(reader: Reader, farm: str, season: int) -> pd.DataFrame:
    """Rows of `readiness_cell` of a farm in a season."""
    return reader.frame(CELLS, {"farm": farm, "season": season})


def farm_growth(reader: Reader, farm: str, season: int) -> pd.DataFrame:
    """Rows of `farm_growth` of a farm in a season: one per class of grazing."""
    return reader.frame(GROWTH, {"farm": farm, "season": season})


def terms(reader: Reader) -> Settings:
    """The settings that the published projections rest on."""
    row = reader.frame(TERMS).iloc[0]
    gain: dict[Grazing, DaysPerScore] = {
        grazing: DaysPerScore(*(float(row[f"{grazing}_{part}"]) for part in ("median", "low", "high")))
        for grazing in reference.days_per_score()
    }
    return Settings(
        home=Path(),
        as_of=pd.Timestamp(row["as_of"]).date(),
        gain=gain,
        scorer_sd=_number(row["scorer_sd"]),
        days_per_score_lost=_number(row["days_per_score_lost"]),
        hold_when_right=None if pd.isna(row["hold_when_right"]) else bool(row["hold_when_right"]),
    )


def planned(
    reader: Reader, register: Mapping[str, object], plan: Plan, published: pd.DataFrame
) -> Outlook | None:
    """A farm's `outlook` under `plan`; `register` is its row of `farm_season`, `published` of `readiness`."""
    cells = readiness_cells(reader, str(register["farm"]), int(str(register["season"])))
    return outlook(cells, register, plan, partial(terms, reader), published)


def _number(value: float | None) -> float | None:
    return None if value is None or pd.isna(value) else float(value)


def outlook(
    cells: pd.DataFrame,
    register: Mapping[str, object],
    plan: Plan,
    terms: Callable[[], Settings],
    published: pd.DataFrame | None = None,
) -> Outlook | None:
    """The farm's readiness under `plan`; pure. None when it has no session to project from.

    `cells` are rows of `readiness_cell`, `register` the farm's row of `farm_season`. Without changes the
    answer is the published one: with `published`, the farm's rows of `readiness`, it is not worked out again.
    """
    if cells.empty:
        return None
    registered_day, registered_flush = _day(register["rams_in"]), int(str(register["flush_days"]))
    rams_in = plan.rams_in or registered_day
    flush_days = registered_flush if plan.flush_days is None else plan.flush_days
    ready_by = rams_in - timedelta(days=flush_days)
    planned = _grazed(cells, plan.grazing).assign(
        rams_in=pd.Timestamp(rams_in), ready_by=pd.Timestamp(ready_by)
    )
    moved = (rams_in, flush_days) != (registered_day, registered_flush)
    if published is None or moved or not planned[GRAZED].equals(cells[GRAZED]):
        readiness, chances = readiness_figures(planned, terms())
    else:
        readiness, chances = published, planned
    registered_places = _number(register["best_grazing_places"])  # type: ignore[arg-type]
    places = plan.places if plan.places is not None else registered_places
    whole = None if places is None else int(places)
    passed = bool((readiness["days_left"] <= 0).any())
    return Outlook(
        readiness=readiness,
        cells=chances,
        rams_in=rams_in,
        flush_days=flush_days,
        ready_by=ready_by,
        lambing=lambing(rams_in),
        places=whole,
        allocation=None if whole is None or passed else _allocation(planned, chances, whole, terms),
    )


def _day(value: object) -> date:
    return pd.Timestamp(str(value)).date()


def _grazed(cells: pd.DataFrame, grazing: Mapping[str, Grazing]) -> pd.DataFrame:
    """Cells with groups on other grazing: what was learned of named grazing holds there."""
    if not grazing:
        return cells
    wanted = cells["group"].map(lambda group: grazing.get(group))
    moved = wanted.notna() & ((wanted != cells["grazing"]) | (cells["stated"] == 0))
    return cells.assign(
        grazing=cells["grazing"].mask(moved, wanted),
        stated=cells["stated"].mask(moved, 1),
    )


def _allocation(
    cells: pd.DataFrame, chances: pd.DataFrame, places: int, terms: Callable[[], Settings]
) -> Allocation | None:
    """Places shared out from today; ewes on best grazing now hold theirs, or move to ordinary grazing."""
    if chances["chance_ready"].isna().any():
        return None
    there = (cells["grazing"] == "best").to_numpy()
    stays, moves = (chances[name].to_numpy(float) for name in ("chance_ready", "chance_on_best"))
    leaves = stays
    if there.any():
        leaves = readiness_figures(cells, terms(), move_to="ordinary")[1]["chance_on_best"].to_numpy(float)
    flock = cells["flock_ewes"].astype(float).fillna(0.0).to_numpy() / cells["ewes"].sum()
    ewes = np.rint(cells["ewes"].to_numpy(float) * np.maximum(flock, 1.0)).astype(np.intp)
    return allocate(ewes, np.where(there, leaves, stays), np.where(there, stays, moves), places)


def lambing(rams_in: date) -> Lambing:
    """When lambing begins after the rams go in on `rams_in`."""
    days = reference.figure("timing", figure="gestation")
    assert days.value and days.low and days.high  # the table's own test asks for them
    first, earliest, latest = (
        rams_in + timedelta(days=int(part)) for part in (days.value, days.low, days.high)
    )
    return Lambing(first, earliest, latest)
