"""What each page needs, read through the visitor's own scope; the only place where pages meet `queries`."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from functools import partial

import flask
import numpy as np
import pandas as pd

from dashboard import access, comparison, scoring
from dashboard.brief import gather
from dashboard.brief.next_time import expected
from dashboard.brief.tables import BriefError, Tables
from dashboard.comparison import Compare
from dashboard.meeting.prospect import GroupPage, group_page
from dashboard.views.state import CompareState, FarmState, FilesState, FlocksState, GroupState, rows_before
from pipelines import queries
from pipelines.queries import About, Chosen, FileFigures, Overview, Reader
from pipelines.queries.backtest import horizons, of_next, reports
from pipelines.queries.what_if import Outlook, Plan, outlook
from pipelines.readiness.backtest import Report
from pipelines.settings import STAGES, SYSTEMS, Settings
from pipelines.statistics import funnel
from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.snapshot import Snapshot

EXTENSION = "tupping"
SETTINGS = "tupping-settings"
USUAL_STAGE = "pre-tupping"
NOTHING = pd.DataFrame()
PAGE_ROWS = 50
PROBLEMS_SHOWN = 20
EWES_SHOWN = 100


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


@dataclass(frozen=True, slots=True)
class Past:
    """Past projections (rows of `backtest`): `reports` by method of those of the next session, and over each
    of the `horizons` of all."""

    as_of: date | None
    rows: pd.DataFrame
    reports: dict[str, Report]
    horizons: dict[tuple[str, str], dict[str, Report]] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Files:
    """Every file ever offered in figures. `files`: those of the page asked for, of `found` that pass the
    filters, those needing attention first; `problems`: the first few of each."""

    as_of: date
    figures: FileFigures
    files: pd.DataFrame
    found: int
    problems: pd.DataFrame


@dataclass(frozen=True, slots=True)
class Scorers:
    """How well every two scorers agree who have scored the same ewes."""

    as_of: date
    pairs: tuple[scoring.Agreement, ...]


def attach(server: flask.Flask, settings: Settings) -> None:
    """Give `server` the published tables of the practice whose data lives in `settings.home`."""
    server.extensions[EXTENSION] = Snapshot(settings.home)
    server.extensions[SETTINGS] = settings
    server.teardown_appcontext(_let_go)


def snapshot() -> Snapshot:
    """The published tables of the server now asked."""
    found: Snapshot = flask.current_app.extensions[EXTENSION]
    return found


def settings() -> Settings:
    """The settings of the practice now asked."""
    found: Settings = flask.current_app.extensions[SETTINGS]
    return found


def reader() -> Reader:
    """The published tables as the visitor now asking may see them; one state for the whole answer."""
    if "reader" not in flask.g:
        flask.g.reader = Reader(snapshot(), access.scope())
    found: Reader = flask.g.reader
    return found


def _let_go(_error: BaseException | None) -> None:
    if opened := flask.g.pop("reader", None):
        opened.close()


def flocks(reader: Reader, state: FlocksState) -> Flocks | None:
    """What *All flocks* shows; None until a farm is registered."""
    about = _about(reader)
    season = state.season or (queries.current_season(reader) if about else None)
    if about is None or season is None:
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
        as_of=about.as_of,
        too_many=about.thin_limit,
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


def farm(reader: Reader, code: str, state: FarmState) -> FarmPage | None:
    """What the page of one farm shows; None when the register has no such farm for this visitor, or not in
    the season asked for (see `held_back`)."""
    about = _about(reader)
    registered = queries.farm_seasons(reader, code) if about else NOTHING
    if about is None or registered.empty:
        return None
    held = held_back(reader, code, state)
    years = [int(year) for year in registered["season"]]
    season = held.season if held else _season(reader, years, state)
    if season not in years:
        return None
    row = registered[registered["season"] == season]
    readiness = queries.farm_readiness(reader, code, season)
    return FarmPage(
        as_of=about.as_of,
        too_many=about.thin_limit,
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
        planned=outlook(
            queries.readiness_cells(reader, code, season),
            {str(name): value for name, value in row.iloc[0].items()},
            Plan(state.rams, state.flush, state.places, dict(state.grazing)),
            partial(queries.terms, reader),
            readiness,
        ),
        held=held,
    )


def held_back(reader: Reader, code: str, state: FarmState) -> HeldBack | None:
    """What of a farm cannot be judged in the season asked for, whether the register has it there or not."""
    about = _about(reader)
    reasons = queries.farm_held_back(reader, code) if about else NOTHING
    if about is None or reasons.empty:
        return None
    registered = queries.farm_seasons(reader, code)
    years = sorted({int(year) for rows in (registered, reasons) for year in rows["season"]}, reverse=True)
    season = _season(reader, years, state)
    of_season = reasons[reasons["season"] == season]
    if of_season.empty:
        return None
    names = [*of_season["name"].dropna(), *registered["name"].dropna(), code]
    return HeldBack(
        as_of=about.as_of,
        code=code,
        name=str(names[0]),
        season=season,
        years=tuple(years),
        reasons=of_season,
        scores=queries.farm_held_back_scores(reader, code, season),
    )


def visit(reader: Reader, code: str, season: int | None) -> Tables | str:
    """One farm's tables for the plan of a visit, or the sentence why it cannot be planned."""
    try:
        found = gather.tables(reader, flask.current_app.extensions[SETTINGS], code, season)
        found.dates()
        expected(found)
    except (BriefError, WrongUseError) as error:
        return str(error)
    return found


def past(reader: Reader) -> Past:
    """What *How well past projections came true* shows."""
    about = _about(reader)
    if about is None:
        return Past(None, NOTHING, {})
    rows = queries.past_projections(reader)
    return Past(about.as_of, rows, reports(of_next(rows)), horizons(rows))


def compare(reader: Reader, state: CompareState) -> Compare | None:
    """What *Compare* shows, by default the usual stage; None until a farm is registered."""
    about = _about(reader)
    season = state.season or (queries.current_season(reader) if about else None)
    if season is None or about is None:
        return None
    overview = queries.overview(reader, season, state.system or SYSTEMS[0])
    return comparison.compare(reader, state, _usual_stage(overview), season)


def scorers(reader: Reader) -> Scorers | None:
    """What *Scorers* shows; None until a farm is registered."""
    about = _about(reader)
    if about is None:
        return None
    return Scorers(about.as_of, scoring.agreements(queries.every_scorer_pair(reader)))


def groups(reader: Reader, state: GroupState) -> GroupPage:
    """What *Discussion group* shows to whoever may release."""
    season = queries.current_season(reader) if _about(reader) else None
    known = [] if season is None else list(queries.overview(reader, season).groups)
    return group_page(reader, settings(), season or 0, known, state.group)


def files(reader: Reader, state: FilesState) -> Files | None:
    """What *Files* shows; None until a file has been offered."""
    about = _about(reader)
    figures = queries.file_figures(reader) if about else None
    if about is None or figures is None or not figures.statuses:
        return None
    found = queries.file_count(reader, state.status, state.find)
    before = rows_before(state.page, found, PAGE_ROWS)
    page = queries.file_page(reader, state.status, state.find, PAGE_ROWS, before)
    problems = queries.first_problems(reader, list(page["file"]), PROBLEMS_SHOWN)
    return Files(about.as_of, figures, page, found, problems)


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


def _about(reader: Reader) -> About | None:
    """None until something has been imported."""
    try:
        return queries.about(reader)
    except WrongUseError:
        return None


def _usual_stage(overview: Overview) -> str:
    """The stage at which most flocks were last scored."""
    stages = overview.stages
    return max(STAGES, key=lambda stage: stages.get(stage, 0)) if stages else USUAL_STAGE


def _season(reader: Reader, years: list[int], state: FarmState) -> int:
    """The season asked for if it is one of `years`, else the one in hand, else the latest."""
    if state.season in years:
        return state.season
    current = queries.current_season(reader)
    return current if current in years else years[0]
