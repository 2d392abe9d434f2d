"""How urgently each farm needs attention, and why, in a vet's words."""

from __future__ import annotations

from typing import Any

import pandas as pd

LIKELY_TOO_MANY = 0.5  # more likely than not, the share of thin ewes is over the limit
POSSIBLY_TOO_MANY = 0.1
PRESSING_DAYS = 56  # it takes at least eight weeks to put condition right before tupping (common practice)
SAMPLE = 0.5  # with fewer of the flock scored, the count alone would mislead: the interval is said instead


def called(farms: pd.DataFrame, today: pd.Timestamp, limit: float) -> pd.DataFrame:
    """Rows of `call_list`: `farms` of `staging/call.sql` with status, reason and urgency.

    Statuses: 'act now' when it is more likely than not that the share of thin ewes is over `limit`, or when
    more of those scored than `limit` cannot be in condition in time; 'watch' when it is possible (10 % or
    more likely); 'on course' otherwise; 'not scored' when the season
    has no session yet; 'tupping begun' once the rams are in.

    Urgency counts from 1 within a season: farms to act on now, those with the least time to spare first
    (days left less the median days needed); then farms not scored with eight weeks or less to ready-by;
    then those to watch and those on course, the likelier to have too many thin first, with farms not scored
    that still have time between them; last the farms whose rams are in. Farm codes settle what is equal.
    """
    rows = [_Farm(row, today, limit) for row in farms.to_dict("records")]
    found = farms.assign(
        status=[row.status for row in rows],
        reason=[row.reason for row in rows],
        place=pd.Series([row.place for row in rows], dtype=object),
    )
    found = found.sort_values(["season", "place"], ignore_index=True)
    return found.assign(urgency=found.groupby("season").cumcount() + 1).drop(columns="place")


class _Farm:
    """One row of `staging/call.sql`, judged."""

    def __init__(self, row: dict[Any, Any], today: pd.Timestamp, limit: float) -> None:
        self.row: dict[str, Any] = {name: None if pd.isna(value) else value for name, value in row.items()}
        self.limit = limit
        ready_by, rams_in = self.row["ready_by"], self.row["rams_in"]
        self.days_to_ready = float("inf") if ready_by is None else (ready_by - today).days
        self.begun = rams_in is not None and rams_in <= today
        self.status = self._status()
        self.reason = self._reason()

    def _status(self) -> str:
        if self.begun:
            return "tupping begun"
        if self.row["scored_on"] is None:
            return "not scored"
        chance = self.row["chance_too_many_thin"] or 0
        too_late = self.row["ewes_unlikely"] > self.limit * self.row["ewes"]
        if chance >= LIKELY_TOO_MANY or too_late:
            return "act now"
        return "watch" if chance >= POSSIBLY_TOO_MANY else "on course"

    @property
    def place(self) -> tuple[int, float, float, str]:
        """Position among the farms of a season, smallest first; see `called`."""
        pressing = self.days_to_ready <= PRESSING_DAYS
        order = {
            "act now": 0,
            "not scored": 1 if pressing else 3,
            "watch": 2,
            "on course": 4,
            "tupping begun": 5,
        }
        chance = self.row["chance_too_many_thin"] or 0
        spare = self.days_to_ready - (self.row["days_needed_median"] or 0)
        within = spare if self.status in ("act now", "not scored") else 0
        return (order[self.status], within, -chance, self.row["farm"])

    def _reason(self) -> str:
        rams_in = self.row["rams_in"]
        rams = f"rams in {day(rams_in)}" if rams_in else "the register does not say when the rams go in"
        if self.row["scored_on"] is None:
            last = self.row["last_scored_on"]
            return f"not scored since {day(last)} {last.year}; {rams}" if last else f"never scored; {rams}"
        if self.begun:
            return f"{self._thin()} on {day(self.row['scored_on'])}; {rams}"
        parts = [self._thin(), self._time(), self._late()]
        return "; ".join(part for part in parts if part)

    def _thin(self) -> str:
        row = self.row
        stage = " at weaning" if row["stage"] == "weaning" else ""
        if row["flock_ewes"] and row["ewes"] < SAMPLE * row["flock_ewes"]:
            low, high = percent(row["thin_share_low"]), percent(row["thin_share_high"])
            return f"sample of {row['ewes']:.0f}: between {low} and {high} thin{stage}"
        return f"{row['thin']:.0f} of {row['ewes']:.0f} thin{stage}"

    def _time(self) -> str:
        left = f"{self.days_to_ready} left" if self.days_to_ready >= 0 else "ready-by day is past"
        needed = self.row["days_needed_median"]
        return f"needs {needed:.0f} days, {left}" if needed else f"nobody below target, {left}"

    def _late(self) -> str:
        late = self.row["ewes_unlikely"]
        return f"{late:.0f} cannot be ready in time" if late else ""


def day(when: pd.Timestamp) -> str:
    """A day as in '9 Oct'."""
    return f"{when.day} {when:%b}"


def percent(share: float) -> str:
    """A share as in '31 %'."""
    return f"{100 * share:.0f} %"
