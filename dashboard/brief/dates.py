"""The dates of a farm's season, for the brief and for its calendar."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from dashboard.brief import words
from dashboard.brief.content import Deadline, LastDate
from pipelines import reference
from pipelines.readiness.timing import last_useful_date
from pipelines.settings import DaysPerScore, Grazing


@dataclass(frozen=True, slots=True)
class SeasonDates:
    """The dates that the register gives for one farm and season."""

    rams_in: date
    ready_by: date


def last_dates(
    cells: Sequence[tuple[float, int]], low: float, ready_by: date, gain: Mapping[Grazing, DaysPerScore]
) -> tuple[LastDate, ...]:
    """One line for each thin score that a ewe was given; cautious = the slow end of the 90 % range."""
    best, ordinary = gain["best"], gain["ordinary"]
    return tuple(
        LastDate(
            score, ewes,
            *(last_useful_date(score, low, ready_by, days)
              for days in (best.median, best.high, ordinary.median, ordinary.high)),
        )
        for score, ewes in cells if score < low and ewes
    )  # fmt: skip


def deadlines(
    season: SeasonDates,
    as_of: date,
    scored_on: date | None,
    thin: Sequence[LastDate],
    rescore_by: date | None,
) -> tuple[Deadline, ...]:
    """Every date of the season in order; what is already past stays, since it explains what is left."""
    found = [*_scoring(season, scored_on, bool(thin), rescore_by), *_grazing(as_of, thin), *_tupping(season)]
    return tuple(sorted(found, key=lambda deadline: (deadline.first, deadline.last)))


def next_of(days: Iterable[date], as_of: date) -> date | None:
    """The first of the days from `as_of` on, else the first of all; None where there is none."""
    every = sorted(days)
    return next((day for day in every if day >= as_of), every[0] if every else None)


def gestation() -> tuple[int, int, int]:
    """Days from mating to lambing: earliest, usual, latest."""
    found = reference.figure("timing", figure="gestation")
    assert found.low and found.value and found.high  # the table's own test asks for numbers
    return int(found.low), int(found.value), int(found.high)


def scanning() -> tuple[int, int, str]:
    """First and last usual day of scanning after the rams go in, and how that is known."""
    found = reference.figure("timing", figure="scanning after the rams go in")
    assert found.low and found.high  # the table's own test asks for numbers
    return int(found.low), int(found.high), found.how_known


def _weeks(figure: str) -> tuple[float, str]:
    """A figure in weeks, and how it is known."""
    return reference.number("timing", figure=figure), reference.figure("timing", figure=figure).how_known


def _scoring(
    season: SeasonDates, scored_on: date | None, any_thin: bool, rescore_by: date | None
) -> list[Deadline]:
    if scored_on is None:
        weeks, known = _weeks("weaning to tupping, to put condition right")
        due = season.ready_by - timedelta(weeks=weeks)
        why = f"{weeks:g} weeks ahead leave time to gain one score ({known})"
        return [Deadline("score", due, due, "Score the ewes", why)]
    if not any_thin:
        return []
    weeks, known = _weeks("rescore thin ewes every")
    due = rescore_by or min(scored_on + timedelta(weeks=weeks), season.ready_by)
    why = f"every {weeks:g} weeks while they gain ({known})"
    return [Deadline("rescore", due, due, "Score the thin ewes again", why)]


def _grazing(as_of: date, thin: Sequence[LastDate]) -> list[Deadline]:
    """The next score to run out of time; where all have, the last that did."""
    if not thin:
        return []
    ahead = [line for line in thin if line.best >= as_of]
    line = min(ahead, key=lambda each: each.best) if ahead else max(thin, key=lambda each: each.best)
    why = (
        f"last useful date for the {words.count(line.ewes, 'ewe')} at {words.score(line.score)}"
        f"; {words.day(line.best_cautious)} if they gain slowly"
    )
    return [Deadline("best grazing", line.best, line.best, "Thin ewes on best grazing", why)]


def _tupping(season: SeasonDates) -> list[Deadline]:
    rams_in, ready_by = season.rams_in, season.ready_by

    def span(kind: str, days: tuple[int, int], what: str, why: str) -> Deadline:
        first, last = (rams_in + timedelta(days=day) for day in days)
        return Deadline(kind, first, last, what, why)  # type: ignore[arg-type]

    earliest, usual, latest = gestation()
    due = words.day(rams_in + timedelta(days=usual))
    lambing = f"{usual} days after the rams go in ({due}), {earliest}–{latest}"
    first_scan, last_scan, how_known = scanning()
    seen = f"{first_scan}–{last_scan} days after the rams go in ({how_known})"
    found = [
        Deadline("ready by", ready_by, ready_by, "Ewes inside the target band", "in time to be flushed"),
        Deadline("rams in", rams_in, rams_in, "Rams in", "from the register"),
        span("scanning", (first_scan, last_scan), "Scanning", seen),
        span("lambing", (earliest, latest), "First lambs expected", lambing),
    ]  # fmt: skip
    if ready_by < rams_in:
        eve = rams_in - timedelta(days=1)
        found.append(Deadline("flush", ready_by, eve, "Flush", "better feed up to the day the rams go in"))
    return found
