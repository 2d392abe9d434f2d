"""What was brought and what became of it: files, past projections, scorers, groups."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

import pandas as pd

from dashboard import scoring
from dashboard.data.published import NOTHING, about, settings
from dashboard.data.season import PAGE_ROWS
from dashboard.meeting.prospect import GroupPage, group_page
from dashboard.views.state import FilesState, GroupState, rows_before
from pipelines import queries
from pipelines.queries import FileFigures, Reader
from pipelines.queries.backtest import horizons, of_next, reports
from pipelines.readiness.backtest import Report
from pipelines.warehouse.alike import UNKNOWN, did_you_mean

PROBLEMS_SHOWN = 20


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


def past(reader: Reader) -> Past:
    """What *How well past projections came true* shows."""
    published = about(reader)
    if published is None:
        return Past(None, NOTHING, {})
    rows = queries.past_projections(reader)
    return Past(published.as_of, rows, reports(of_next(rows)), horizons(rows))


def scorers(reader: Reader) -> Scorers | None:
    """What *Scorers* shows; None until a farm is registered."""
    published = about(reader)
    if published is None:
        return None
    return Scorers(published.as_of, scoring.agreements(queries.every_scorer_pair(reader)))


def groups(reader: Reader, state: GroupState) -> GroupPage:
    """What *Discussion group* shows to whoever may release."""
    season = queries.current_season(reader) if about(reader) else None
    known = [] if season is None else list(queries.overview(reader, season).groups)
    return group_page(reader, settings(), season or 0, known, state.group)


def files(reader: Reader, state: FilesState) -> Files | None:
    """What *Files* shows; None until a file has been offered."""
    published = about(reader)
    figures = queries.file_figures(reader) if published else None
    if published is None or figures is None or not figures.statuses:
        return None
    found = queries.file_count(reader, state.status, state.find)
    before = rows_before(state.page, found, PAGE_ROWS)
    page = queries.file_page(reader, state.status, state.find, PAGE_ROWS, before)
    problems = _asked_after(reader, queries.first_problems(reader, list(page["file"]), PROBLEMS_SHOWN))
    return Files(published.as_of, figures, page, found, problems)


def _asked_after(reader: Reader, problems: pd.DataFrame) -> pd.DataFrame:
    """Problems with the question which farm is meant, where one is in no register."""
    unknown = problems["code"] == UNKNOWN
    if not unknown.any():
        return problems
    names = queries.farm_names(reader)
    asked = [f" {did_you_mean(farm, names)}".rstrip() for farm in problems["value"].where(unknown, "")]
    return problems.assign(message=problems["message"] + asked)
