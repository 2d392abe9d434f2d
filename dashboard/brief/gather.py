"""Reads what a brief needs, through `queries` alone."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from typing import Any

import pandas as pd

from dashboard.brief import dates, words
from dashboard.brief.calendar import FarmDates
from dashboard.brief.compose import deadlines
from dashboard.brief.content import LastDate
from dashboard.brief.dates import SeasonDates
from dashboard.brief.sheets import Sheet
from dashboard.brief.tables import WHOLE, BriefError, Row, Tables, cannot, rows, season_days
from pipelines import queries, reference
from pipelines.queries import Reader
from pipelines.settings import DaysPerScore, Grazing, Settings
from pipelines.warehouse.alike import UNKNOWN, did_you_mean


def tables(reader: Reader, settings: Settings, farm: str, season: int | None = None) -> Tables:
    """The farm's tables for a season (default: the one in hand, else the farm's latest).

    Raises BriefError when the register has no such farm, or not in that season.
    """
    registered = queries.farm_seasons(reader, farm)
    if registered.empty:
        raise BriefError(_not_registered(reader, farm))
    years = [int(year) for year in registered["season"]]
    current = season or queries.current_season(reader)
    wanted = current if current is not None and (season or current in years) else years[0]
    past = [year for year in years if wanted - 1 <= year <= wanted]
    standings = queries.farm_standings(reader, farm)
    about = queries.about(reader)
    found = Tables(
        farm=farm,
        season=wanted,
        as_of=about.as_of,
        seasons=registered,
        sessions=_over(past, lambda year: queries.farm_sessions(reader, farm, year)),
        distribution=_over(past, lambda year: queries.farm_distribution(reader, farm, year)),
        readiness=queries.farm_readiness(reader, farm, wanted),
        ewes=queries.farm_ewes(reader, farm, wanted),
        standing=standings,
        gain=_learned(days_per_score(settings), _growth(reader, wanted, farm).get(farm, [])),
        thin_limit=about.thin_limit,
        held_back=_of(wanted, queries.farm_held_back(reader, farm)),
    )
    return _with_latest_standing(found)


def _not_registered(reader: Reader, farm: str) -> str:
    held = queries.farm_held_back(reader, farm)
    meant = did_you_mean(farm, queries.farm_names(reader))
    if held.empty:
        return f"no farm '{farm}' in the register. {meant or 'Check the code, or import the farm register.'}"
    elsewhere = meant if (held["code"] == UNKNOWN).any() else ""
    return f"farm '{farm}' {cannot(held)} {elsewhere}".rstrip()


def days_per_score(settings: Settings) -> dict[Grazing, DaysPerScore]:
    """Days to gain one score by grazing: the adviser's own, else the reference's."""
    return {grazing: settings.gain.get(grazing, days) for grazing, days in reference.days_per_score().items()}


def _of(season: int, found: pd.DataFrame) -> pd.DataFrame:
    return found[found["season"] == season]


def _growth(reader: Reader, season: int, farm: str | None = None) -> dict[str, list[tuple[Any, ...]]]:
    return _by_farm(queries.season_growth(reader, season, farm))


def _learned(
    usual: Mapping[Grazing, DaysPerScore], taught: list[tuple[Any, ...]]
) -> dict[Grazing, DaysPerScore]:
    """Days to gain one score on one farm: as its own sessions have taught, else as usual."""
    own = {grazing: DaysPerScore(*days) for _, grazing, *days in taught}
    return {grazing: own.get(grazing, days) for grazing, days in usual.items()}


def _over(years: list[int], read: Callable[[int], pd.DataFrame]) -> pd.DataFrame:
    return pd.concat([read(year) for year in years], ignore_index=True) if years else pd.DataFrame()


def _with_latest_standing(found: Tables) -> Tables:
    """Only the standing of the session that the brief is about: one row, or none."""
    latest = found.latest()
    rows = found.standing
    if latest is None:
        return replace(found, standing=rows.head(0))
    # a session at tupping after the rams went in stands for its stage, but is not the one told of
    same = (rows["stage"] == latest.stage) & (
        pd.to_datetime(rows["scored_on"]) == pd.Timestamp(latest.scored_on)
    )
    return replace(found, standing=rows[same])


def practice_dates(reader: Reader, settings: Settings) -> list[FarmDates]:
    """The dates of every farm that the register has in the season in hand: five questions for any number."""
    season = queries.current_season(reader)
    if season is None:
        return []
    as_of, usual, taught = queries.about(reader).as_of, days_per_score(settings), _growth(reader, season)
    scores = _by_farm(queries.season_scores(reader, season))
    rescoring = _by_farm(queries.season_rescoring(reader, season))
    found = []
    for row in rows(queries.season_dates(reader, season)):
        farm, days = words.text(row["farm"]), season_days(row)
        if days:
            gain = _learned(usual, taught.get(farm, []))
            thin = _last_dates(row, scores.get(farm, []), days, gain)
            again = [words.as_date(day) for _, day in rescoring.get(farm, [])]
            due = dates.next_of([day for day in again if day], as_of)
            listed = dates.deadlines(days, as_of, words.as_date(row["scored_on"]), thin, due)
            found.append(FarmDates(farm, words.text(row["name"]) or farm, season, listed))
    return found


def _by_farm(frame: pd.DataFrame) -> dict[str, list[tuple[Any, ...]]]:
    """Rows as plain tuples, in a list for each farm."""
    found: dict[str, list[tuple[Any, ...]]] = {}
    for row in frame.itertuples(index=False, name=None):
        found.setdefault(row[0], []).append(row)
    return found


def _last_dates(
    row: Row, scored: list[tuple[Any, ...]], days: SeasonDates, gain: Mapping[Grazing, DaysPerScore]
) -> tuple[LastDate, ...]:
    low = words.number(row["target_low"])
    cells = [(float(score), int(ewes)) for _, score, ewes in scored]
    return () if low is None else dates.last_dates(cells, low, days.ready_by, gain)


def farm_dates(found: Tables) -> FarmDates:
    """The calendar's dates of one farm."""
    name = words.text(found.register().get("name")) or found.farm
    return FarmDates(found.farm, name, found.season, deadlines(found))


def blank_sheets(found: Tables, day: date) -> list[Sheet]:
    """A sheet for each group of the farm's latest session; one without a group for a farm never scored."""
    name = words.text(found.register().get("name")) or found.farm
    history = found.history()
    if not history:
        return [Sheet(found.farm, name, "group ____________", day, None, None)]
    last = history[-1]
    groups = [group for group in found.groups(last) if group.group != WHOLE]
    return [Sheet(found.farm, name, group.group, day, group, last.scored_on) for group in groups]
