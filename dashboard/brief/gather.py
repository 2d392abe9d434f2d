"""Reads what a brief needs, through `queries` alone."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import date

import pandas as pd

from dashboard.brief import words
from dashboard.brief.calendar import FarmDates
from dashboard.brief.compose import deadlines
from dashboard.brief.sheets import Sheet
from dashboard.brief.tables import WHOLE, BriefError, Tables
from pipelines import queries, reference
from pipelines.queries import Reader
from pipelines.settings import Settings


def tables(reader: Reader, settings: Settings, farm: str, season: int | None = None) -> Tables:
    """The farm's tables for a season (default: the one in hand, else the farm's latest).

    Raises BriefError when the register has no such farm, or not in that season.
    """
    registered = queries.farm_seasons(reader, farm)
    if registered.empty:
        raise BriefError(f"no farm '{farm}' in the register: check the code, or import the farm register")
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
        gain={
            grazing: settings.gain.get(grazing, days) for grazing, days in reference.days_per_score().items()
        },
        thin_limit=about.thin_limit,
    )
    return _with_latest_standing(found)


def _over(years: list[int], read: Callable[[int], pd.DataFrame]) -> pd.DataFrame:
    return pd.concat([read(year) for year in years], ignore_index=True) if years else pd.DataFrame()


def _with_latest_standing(found: Tables) -> Tables:
    """Only the standing of the session that the brief is about: one row, or none."""
    latest = found.latest()
    rows = found.standing
    if latest is None:
        return replace(found, standing=rows.head(0))
    same = (rows["season"] == found.season) & (rows["stage"] == latest.stage)
    return replace(found, standing=rows[same])


def practice_dates(reader: Reader, settings: Settings) -> list[FarmDates]:
    """The dates of every farm that the register has in the season in hand."""
    season = queries.current_season(reader)
    found = []
    for farm in queries.farms(reader)["code"]:
        each = tables(reader, settings, farm)
        if each.season == season:
            found.append(farm_dates(each))
    return found


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
