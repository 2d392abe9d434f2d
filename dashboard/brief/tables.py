"""The published tables that one farm's brief is made of, with the contract's column names."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import Any

import pandas as pd

from dashboard.brief import words
from dashboard.brief.changes import Session
from dashboard.brief.content import GroupScores
from dashboard.brief.dates import SeasonDates
from pipelines.queries.held_back import because
from pipelines.settings import DaysPerScore, Grazing

WHOLE = "ALL"  # the name of the whole session among its groups
Row = Mapping[str, Any]


class BriefError(ValueError):
    """A brief that cannot be written; the message says what is missing and what to do."""


@dataclass(frozen=True, slots=True)
class Tables:
    """One farm's rows: all seasons of `seasons`, `sessions`, `distribution`; `season`'s of the others."""

    farm: str
    season: int
    as_of: date
    seasons: pd.DataFrame  # farm_season
    sessions: pd.DataFrame  # session_summary
    distribution: pd.DataFrame  # score_distribution
    readiness: pd.DataFrame
    ewes: pd.DataFrame  # ewe_action
    standing: pd.DataFrame  # farm_standing
    gain: Mapping[Grazing, DaysPerScore]  # at least best and ordinary
    thin_limit: float
    held_back: pd.DataFrame = field(default_factory=pd.DataFrame)

    def register(self) -> Row:
        """The register's row of the season; raises BriefError where there is none."""
        for row in rows(self.seasons):
            if row["season"] == self.season:
                return row
        if len(self.held_back):
            raise BriefError(f"farm '{self.farm}' {cannot(self.held_back)}")
        raise BriefError(
            f"no register row for farm {self.farm} in {self.season}: import the farm register first"
        )

    def flock(self) -> int | None:
        """Ewes in the flock as registered; None where the register does not give them."""
        ewes = words.number(self.register()["ewes"])
        return None if ewes is None else int(ewes)

    def dates(self) -> SeasonDates:
        """The season's fixed days; raises BriefError where the register does not give them."""
        found = season_days(self.register())
        if found is None:
            raise BriefError(
                f"farm {self.farm} has no rams_in date for {self.season}: add it to the farm register"
            )
        return found

    def history(self) -> tuple[Session, ...]:
        """Every whole session of the farm, oldest first."""
        flock = {
            row["season"]: int(ewes) for row in rows(self.seasons) if (ewes := words.number(row["ewes"]))
        }
        found = [
            Session(day, words.text(row["stage"]), self.cells(day, WHOLE), flock.get(row["season"]))
            for row in rows(self.sessions)
            if row["group"] == WHOLE and (day := words.as_date(row["scored_on"]))
        ]
        return tuple(sorted((each for each in found if each.cells), key=lambda session: session.scored_on))

    def latest(self) -> Session | None:
        """The season's latest session up to today and the day the rams go in, else None."""
        last = min(self.dates().rams_in, self.as_of)
        scored = [
            words.as_date(row["scored_on"]) for row in rows(self.sessions)
            if row["season"] == self.season and row["group"] == WHOLE
        ]  # fmt: skip
        wanted = {day for day in scored if day and day <= last}
        return next((each for each in reversed(self.history()) if each.scored_on in wanted), None)

    def cells(self, scored_on: date, group: str) -> tuple[tuple[float, int], ...]:
        """The histogram of one group (or ALL: the sum over groups) on one day, scores rising."""
        counted: dict[float, int] = {}
        for row in rows(self.distribution):
            if words.as_date(row["scored_on"]) == scored_on and _belongs(words.text(row["group"]), group):
                counted[float(row["score"])] = counted.get(float(row["score"]), 0) + int(row["ewes"])
        return tuple(sorted(counted.items()))

    def groups(self, session: Session) -> tuple[GroupScores, ...]:
        """The groups of one session, ALL first, then by name."""
        found = [self._group(row) for row in rows(self.sessions)
                 if words.as_date(row["scored_on"]) == session.scored_on]  # fmt: skip
        return tuple(sorted(found, key=lambda group: (group.group != WHOLE, group.group)))

    def _group(self, row: Row) -> GroupScores:
        day = words.as_date(row["scored_on"])
        assert day is not None, "a session has a day"
        group = words.text(row["group"])
        return GroupScores(
            group, self.cells(day, group), float(row["target_low"]), float(row["target_high"]),
            int(row["thin"]), int(row["on_target"]), int(row["over"]),
            float(row["thin_share_low"]), float(row["thin_share_high"]),
        )  # fmt: skip


def season_days(row: Row) -> SeasonDates | None:
    """A season's fixed days from a row of the register; None where it lacks them."""
    rams_in, ready_by = words.as_date(row["rams_in"]), words.as_date(row["ready_by"])
    return SeasonDates(rams_in, ready_by) if rams_in and ready_by else None


def cannot(held_back: pd.DataFrame) -> str:
    """Why what has come cannot be projected, and what to do: of rows of `held_back` the first."""
    row = next(rows(held_back))
    return f"cannot be projected because {because(row)}. {row['remedy']}"


def rows(frame: pd.DataFrame) -> Iterator[Row]:
    """A table's rows as mappings of column to value."""
    for record in frame.to_dict("records"):
        yield {str(column): value for column, value in record.items()}


def _belongs(named: str, wanted: str) -> bool:
    return named != WHOLE if wanted == WHOLE else named == wanted
