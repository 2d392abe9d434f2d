"""How urgently each farm needs attention, and why, in a vet's words."""

from __future__ import annotations

from functools import cache
from typing import Any

import pandas as pd

from pipelines import reference
from pipelines.readiness.words import between, percent

LIKELY = 0.5  # more likely than not
RECENT_DAYS = 14  # scores older than this are said to be
UNJUDGED = "cannot be judged"
LAST = 6
SAMPLE = 0.5  # with fewer of the flock scored, the count alone would mislead: the interval is said instead


def called(farms: pd.DataFrame, today: pd.Timestamp, limit: float) -> pd.DataFrame:
    """Rows of `call_list`: `farms` of `staging/call.sql` with status, reason and urgency.

    Statuses: 'act now' when, grazed as they are, more ewes than `limit` are expected to be thin still when
    they should be ready; 'watch' when that cannot be excluded (it is inside the 90 % interval) or more ewes
    than `limit` are likely thin now, or nothing can be projected; 'on course' otherwise; 'not scored' when
    the season has no session before tupping yet; 'cannot be judged' when it has none that could be placed,
    but scores or a line of the register wait; 'tupping begun' once the rams are in.

    Urgency counts from 1 within a season: farms to act on now, those with the least time to spare first
    (days left less the median days needed); then those that cannot be judged, as nobody knows how urgent
    they are, and farms not scored with eight weeks or less to ready-by; then those to watch, farms not
    scored that still have time, and those on course, the larger share still thin first; last the farms whose
    rams are in. Farm codes settle what is equal.
    """
    rows = [_Farm(row, today, limit) for row in farms.to_dict("records")]
    found = farms.assign(
        status=[row.status for row in rows],
        reason=[row.reason for row in rows],
        place=pd.Series([row.place for row in rows], dtype=object),
    )
    # what arrived last, though it is not judged
    waits = found["status"] == UNJUDGED
    found = found.assign(
        scored_on=found["scored_on"].mask(waits, found["waiting_on"]),
        ewes=found["ewes"].mask(waits, found["waiting_ewes"]),
    )
    found = found.sort_values(["season", "place"], ignore_index=True)
    return found.assign(urgency=found.groupby("season").cumcount() + 1).drop(columns="place")


class _Farm:
    """One row of `staging/call.sql`, judged."""

    def __init__(self, row: dict[Any, Any], today: pd.Timestamp, limit: float) -> None:
        self.row: dict[str, Any] = {name: None if pd.isna(value) else value for name, value in row.items()}
        self.today, self.limit = today, limit
        ready_by, rams_in = self.row["ready_by"], self.row["rams_in"]
        self.days_to_ready = float("inf") if ready_by is None else (ready_by - today).days
        self.begun = rams_in is not None and rams_in <= today
        self.status = self._status()
        self.reason = self._reason()

    def _status(self) -> str:
        row = self.row
        if row["scored_on"] is None and row["held_why"]:
            return UNJUDGED
        if self.begun:
            return "tupping begun"
        if row["scored_on"] is None:
            return "not scored"
        if row["why_not"]:
            return "watch"
        if row["still_thin_share"] > self.limit:
            return "act now"
        possible = row["still_thin_high"] > self.limit or row["chance_too_many_thin"] >= LIKELY
        return "watch" if possible else "on course"

    @property
    def place(self) -> tuple[int, float, float, str]:
        """Position among the farms of a season, smallest first; see `called`."""
        order = {"act now": 0, UNJUDGED: 1, "watch": 3, "on course": 5, "tupping begun": LAST}
        order["not scored"] = 2 if self.days_to_ready <= _pressing_days() else 4
        spare = self.days_to_ready - (self.row["days_needed_median"] or 0)
        within = spare if self.status in ("act now", "not scored") else 0
        return (
            LAST if self.begun else order[self.status],
            within,
            -(self.row["still_thin_share"] or 0),
            self.row["farm"],
        )

    def _reason(self) -> str:
        if self.status == UNJUDGED:
            return self._unjudged()
        rams_in = self.row["rams_in"]
        rams = f"rams in {day(rams_in)}" if rams_in else "the register does not say when the rams go in"
        if self.row["scored_on"] is None and self.begun:
            return f"not scored before tupping; {rams}"
        if self.row["scored_on"] is None:
            return f"{self._not_scored()}; {rams}"
        if self.begun:
            return f"{self._thin()} on {day(self.row['scored_on'])}; {rams}{self._waits()}"
        told = [self._thin() + self._when(), self._time(), self._ahead(), *self._now()]
        return "; ".join(told) + self._waits()

    def _unjudged(self) -> str:
        row = self.row
        if row["waiting_on"] is None:
            return f"{row['held_why']}; no scores yet"
        return f"{row['held_why']}; {row['waiting_ewes']:,.0f} ewes scored {day(row['waiting_on'])}"

    def _not_scored(self) -> str:
        last = self.row["last_scored_on"]
        return f"not scored since {day(last)} {last.year}" if last else "never scored"

    def _waits(self) -> str:
        """That later scores than those judged wait."""
        later = self.row["waiting_on"]
        if later is None or later <= self.row["scored_on"]:
            return ""
        return f"; scores of {day(later)} wait: {self.row['held_why']}"

    def _thin(self) -> str:
        row = self.row
        stage = " at weaning" if row["stage"] == "weaning" else ""
        if row["flock_ewes"] and row["ewes"] < SAMPLE * row["flock_ewes"]:
            return f"sample of {row['ewes']:.0f}: {self._between('thin_share_low', 'thin_share_high')}{stage}"
        return f"{row['thin']:.0f} of {row['ewes']:.0f} thin{stage}"

    def _when(self) -> str:
        days = (self.today - self.row["scored_on"]).days
        return f" {days} days ago" if days > RECENT_DAYS else ""

    def _time(self) -> str:
        left = f"{self.days_to_ready} left" if self.days_to_ready >= 0 else "the day to be ready is past"
        needed = self.row["days_needed_median"]
        if not needed:
            return f"nobody below target, {left}"
        days = max(round(needed), 1)
        return f"needs {days} {'day' if days == 1 else 'days'}, {left}"

    def _ahead(self) -> str:
        if self.row["why_not"]:
            return str(self.row["why_not"]).split(";")[0]
        return f"{self._between('still_thin_low', 'still_thin_high')} by {day(self.row['ready_by'])}"

    def _now(self) -> list[str]:
        """Why a farm is watched whose outlook alone would be on course."""
        calm = self.row["still_thin_high"] is not None and self.row["still_thin_high"] <= self.limit
        watched = self.status == "watch" and not self.row["why_not"]
        return [f"likely more than {percent(self.limit)} thin now"] if watched and calm else []

    def _between(self, low: str, high: str) -> str:
        return f"{between(self.row[low], self.row[high])} thin"


@cache
def _pressing_days() -> float:
    """Days that it takes at least to put condition right before tupping."""
    return 7 * reference.number("timing", figure="weaning to tupping, to put condition right")


def day(when: pd.Timestamp) -> str:
    """A day as in '9 Oct'."""
    return f"{when.day} {when:%b}"
