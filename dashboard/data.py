"""What each page needs, read through the visitor's own scope; the only place where pages meet `queries`."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

import flask
import numpy as np
import pandas as pd

from dashboard import access
from dashboard.views.state import CompareState, FarmState, FlocksState
from pipelines import queries
from pipelines.queries import About, Reader
from pipelines.settings import STAGES, SYSTEMS, Settings
from pipelines.statistics import funnel
from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.snapshot import Snapshot

EXTENSION = "tupping"
USUAL_STAGE = "pre-tupping"
NOTHING = pd.DataFrame()


@dataclass(frozen=True, slots=True)
class Flocks:
    """The practice in one season. `calls`: call_list rows, most urgent first; `points`: one per flock scored
    at `stage`; `limits`: control limits of the share thin around `average`, by number scored."""

    as_of: date
    too_many: float
    seasons: list[int]
    season: int
    calls: pd.DataFrame
    stage: str
    points: pd.DataFrame
    limits: pd.DataFrame
    average: float


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


@dataclass(frozen=True, slots=True)
class Compare:
    """Farms of one system at one stage; `sessions` best on target first, `scores` their distributions."""

    as_of: date | None
    seasons: list[int]
    season: int | None
    system: str
    stage: str
    sessions: pd.DataFrame
    scores: pd.DataFrame


@dataclass(frozen=True, slots=True)
class Files:
    """Every file ever offered, and what was wrong in them."""

    as_of: date | None
    files: pd.DataFrame
    problems: pd.DataFrame


def attach(server: flask.Flask, settings: Settings) -> None:
    """Give `server` the published tables of the practice whose data lives in `settings.home`."""
    server.extensions[EXTENSION] = Snapshot(settings.home)


def snapshot() -> Snapshot:
    """The published tables of the server now asked."""
    found: Snapshot = flask.current_app.extensions[EXTENSION]
    return found


def reader() -> Reader:
    """The published tables as the visitor now asking may see them."""
    return Reader(snapshot(), access.scope())


def flocks(reader: Reader, state: FlocksState) -> Flocks | None:
    """What *All flocks* shows; None until a farm is registered."""
    about = _about(reader)
    season = state.season or (queries.current_season(reader) if about else None)
    if about is None or season is None:
        return None
    calls = queries.call_list(reader, season)
    stage = state.stage or _usual_stage(calls)
    points = queries.funnel_points(reader, season, stage, state.system)
    average = float(points["thin"].sum() / points["ewes"].sum()) if len(points) else 0.0
    limits = control_limits(average, points["ewes"]) if len(points) else NOTHING
    seasons = queries.seasons(reader)
    return Flocks(about.as_of, about.thin_limit, seasons, season, calls, stage, points, limits, average)


def farm(reader: Reader, code: str, state: FarmState) -> FarmPage | None:
    """What the page of one farm shows; None when there is no such farm for this visitor."""
    about = _about(reader)
    registered = queries.farm_seasons(reader, code) if about else NOTHING
    if about is None or registered.empty:
        return None
    years = [int(year) for year in registered["season"]]
    season = state.season if state.season in years else _season_in_hand(reader, years)
    calls = queries.call_list(reader, season)
    return FarmPage(
        as_of=about.as_of,
        too_many=about.thin_limit,
        season=season,
        register=registered[registered["season"] == season],
        calls=calls[calls["farm"] == code],
        sessions=queries.farm_sessions(reader, code, season),
        scores=queries.farm_distribution(reader, code, season),
        readiness=queries.farm_readiness(reader, code, season),
        ewes=queries.farm_ewes(reader, code, season),
        past=_past(reader, code, registered),
    )


def compare(reader: Reader, state: CompareState) -> Compare:
    """What *Compare* shows: without a choice, the first system and the usual stage with anything to show."""
    about = _about(reader)
    season = state.season or (queries.current_season(reader) if about else None)
    system, stage = state.system or SYSTEMS[0], state.stage or USUAL_STAGE
    if about is None or season is None:
        return Compare(None, [], None, system, stage, NOTHING, NOTHING)
    if state.stage is None:
        stage = _usual_stage(queries.call_list(reader, season, system))
    sessions = queries.compare_sessions(reader, season, stage, system)
    scores = queries.compare_distribution(reader, season, stage, system)
    return Compare(about.as_of, queries.seasons(reader), season, system, stage, sessions, scores)


def files(reader: Reader) -> Files:
    """What *Files* shows."""
    about = _about(reader)
    if about is None:
        return Files(None, NOTHING, NOTHING)
    return Files(about.as_of, queries.files(reader), queries.problems(reader))


def control_limits(average: float, ewes: pd.Series[int]) -> pd.DataFrame:
    """Exact binomial limits round `average`, from 5 ewes to a little beyond the largest number scored.

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
    return pd.DataFrame(columns)


def _about(reader: Reader) -> About | None:
    """None until something has been imported."""
    try:
        return queries.about(reader)
    except WrongUseError:
        return None


def _usual_stage(calls: pd.DataFrame) -> str:
    """The stage at which most flocks were last scored."""
    stages = calls["stage"].value_counts()
    return max(STAGES, key=lambda stage: int(stages.get(stage, 0))) if len(stages) else USUAL_STAGE


def _season_in_hand(reader: Reader, years: list[int]) -> int:
    current = queries.current_season(reader)
    return current if current in years else years[0]


def _past(reader: Reader, code: str, registered: pd.DataFrame) -> pd.DataFrame:
    """The last whole session before the rams went in, of each season that has one."""
    last: list[pd.DataFrame] = []
    for season, rams_in in zip(registered["season"], registered["rams_in"], strict=True):
        sessions = queries.farm_sessions(reader, code, int(season))
        before = sessions[(sessions["group"] == "ALL") & (sessions["scored_on"] <= rams_in)]
        last.append(before.tail(1))
    joined: pd.DataFrame = pd.concat(last, ignore_index=True)
    return joined
