"""A season of the whole practice: all flocks, and some of them side by side."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date

import numpy as np
import pandas as pd

from dashboard import comparison
from dashboard.comparison import Compare
from dashboard.data.published import NOTHING, about
from dashboard.views.state import CompareState, FlocksState, rows_before
from pipelines import queries
from pipelines.queries import Chosen, Overview, Reader
from pipelines.settings import STAGES, SYSTEMS
from pipelines.statistics import funnel

USUAL_STAGE = "pre-tupping"
PAGE_ROWS = 50


@dataclass(frozen=True, slots=True)
class Flocks:
    """The practice in one season. `calls`: the call_list rows of the page asked for, most urgent first, of
    `found` that pass the filters; `points`: one per flock scored at `stage`; `limits`: control limits of the
    share thin around `average`, by number scored; `apart`: how far the flocks differ beyond chance."""

    as_of: date
    too_many: float
    seasons: list[int]
    season: int
    overview: Overview
    calls: pd.DataFrame
    found: int
    stage: str
    points: pd.DataFrame
    limits: pd.DataFrame
    average: float
    apart: funnel.Overdispersion | None


def flocks(reader: Reader, state: FlocksState) -> Flocks | None:
    """What *All flocks* shows; None until a farm is registered."""
    published = about(reader)
    season = state.season or (queries.current_season(reader) if published else None)
    if published is None or season is None:
        return None
    overview = queries.overview(reader, season)
    found = queries.call_count(reader, season, chosen(state))
    before = rows_before(state.page, found, PAGE_ROWS)
    stage = state.stage or _usual_stage(overview)
    points = queries.funnel_points(reader, season, stage, state.system)
    average = float(points["thin"].sum() / points["ewes"].sum()) if len(points) else 0.0
    apart = funnel.overdispersion(points["thin"], points["ewes"]) if len(points) > 1 else None
    limits = (
        control_limits(average, points["ewes"], apart if apart and apart.tau else None)
        if len(points)
        else NOTHING
    )
    return Flocks(
        as_of=published.as_of,
        too_many=published.thin_limit,
        seasons=queries.seasons(reader),
        season=season,
        overview=overview,
        calls=queries.call_page(reader, season, chosen(state), PAGE_ROWS, before),
        found=found,
        stage=stage,
        points=points,
        limits=limits,
        average=average,
        apart=apart,
    )


def chosen(state: FlocksState) -> Chosen:
    """The filters of `state` as a question to the call list."""
    return Chosen(state.system, state.status, state.group, state.stage, state.find)


def compare(reader: Reader, state: CompareState) -> Compare | None:
    """What *Compare* shows, by default the usual stage; None until a farm is registered."""
    published = about(reader)
    season = state.season or (queries.current_season(reader) if published else None)
    if season is None or published is None:
        return None
    chosen = [state.system] if state.system else list(SYSTEMS)
    found = {system: queries.overview(reader, season, system) for system in chosen}
    # unless chosen, the first system of which a flock was scored
    system = next((system for system, overview in found.items() if overview.stages), chosen[0])
    return comparison.compare(reader, replace(state, system=system), _usual_stage(found[system]), season)


def control_limits(
    average: float, ewes: pd.Series[int], apart: funnel.Overdispersion | None = None
) -> pd.DataFrame:
    """Exact binomial limits round `average`, from 5 ewes to a little beyond the largest number scored.

    With `apart` also `low_wide` and `high_wide`, 95 % limits that allow for flocks differing beyond chance.

    Exact limits go up and down with each whole ewe; where they do, the wider one is kept, so that the line
    can be followed by eye and never accuses a flock that the exact limit would not.
    """
    most = max(60, int(ewes.max() * 1.05))
    grid = np.unique(np.geomspace(5, most, 120).round())
    columns = {"ewes": grid}
    for suffix, confidence in (("95", 0.95), ("998", 0.998)):
        low, high = funnel.limits(average, grid, confidence)
        columns[f"low_{suffix}"] = np.minimum.accumulate(low[::-1])[::-1]
        columns[f"high_{suffix}"] = np.maximum.accumulate(high[::-1])[::-1]
    if apart:
        columns["low_wide"], columns["high_wide"] = funnel.wide_limits(apart, grid)
    return pd.DataFrame(columns)


def _usual_stage(overview: Overview) -> str:
    """The stage at which most flocks were last scored."""
    stages = overview.stages
    return max(STAGES, key=lambda stage: stages.get(stage, 0)) if stages else USUAL_STAGE
