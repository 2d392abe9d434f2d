"""What to do with each identified ewe, with the chance and the reason in words. The vet decides.

What is suggested follows from her chance of being ready alone, the better of the grazing she is on and best
grazing from today. Days needed and days left are plain arithmetic from her score, which knows neither what
she has gained since she was scored nor how far a score is to be trusted: it is told beside the chance, and
where the two differ the reason says why.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipelines import reference
from pipelines.readiness.timing import days_needed, last_useful_date
from pipelines.readiness.words import percent

Action = Literal["hold", "best grazing", "rescore", "unlikely in time", "over"]
LIKELY = 0.8  # chance from which a ewe is left where she is
DOUBTFUL = 0.5  # chance under which waiting for another score would waste days
LONG_THIN = 3  # sessions running
THRESHOLDS = (
    f"Hold: at least {percent(LIKELY)} likely to be ready where she is. Rescore: from {percent(DOUBTFUL)} to "
    f"{percent(LIKELY)} likely, while there is time. Best grazing: less likely than that where she is, but "
    f"at least {percent(DOUBTFUL)} there. Unlikely in time: less than {percent(DOUBTFUL)} on either."
)


@dataclass(frozen=True, slots=True)
class Ewe:
    """One identified ewe on the as-of date.

    `chance_now` and `chance_best` are her chances of being ready on the grazing she is on and on the best
    from the as-of date; `thin_sessions` counts the sessions running, the latest included, in which she was
    thin.
    """

    score: float
    low: float
    high: float
    chance_now: float
    chance_best: float
    thin_sessions: int = 0


@dataclass(frozen=True, slots=True)
class Days:
    """The days of a decision; `per_score` is the median on best grazing."""

    scored_on: date
    as_of: date
    ready_by: date
    per_score: float = 52.0


@dataclass(frozen=True, slots=True)
class Decision:
    """What is suggested for one ewe: `rescore_by` is given for the action 'rescore' only."""

    action: Action
    chance: float
    rescore_by: date | None
    reason: str
    long_thin: bool


def unlikely(chance_now: ArrayLike, chance_best: ArrayLike) -> NDArray[np.bool_]:
    """Whether the better chance is below `DOUBTFUL`, as it reads in whole per cent."""
    better = np.maximum(np.asarray(chance_now, float), np.asarray(chance_best, float))
    return np.asarray(np.round(100 * better) < 100 * DOUBTFUL)


def decide(ewe: Ewe, days: Days) -> Decision:
    """Suggest what to do with a ewe; raises `ValueError` once the day to be ready is past."""
    if days.ready_by < days.as_of:
        raise ValueError(f"the day to be ready, {days.ready_by}, is past: score her again before deciding")
    wait = _wait_until(ewe, days)
    action = _action(ewe, wait is not None)
    reason = _reason(action, ewe, days, wait)
    long_thin = ewe.thin_sessions >= LONG_THIN
    if long_thin:
        reason += f"; thin {ewe.thin_sessions} sessions running: worth examining with the vet"
    chance = max(ewe.chance_now, ewe.chance_best) if action == "unlikely in time" else ewe.chance_now
    return Decision(
        action=action,
        chance=ewe.chance_best if action == "best grazing" else chance,
        rescore_by=wait if action == "rescore" else None,
        reason=reason,
        long_thin=long_thin,
    )


def _action(ewe: Ewe, can_wait: bool) -> Action:
    if ewe.score > ewe.high:
        return "over"
    if ewe.score >= ewe.low:
        return "hold" if ewe.chance_now >= DOUBTFUL or not can_wait else "rescore"
    if ewe.chance_now >= LIKELY:
        return "hold"
    if unlikely(ewe.chance_now, ewe.chance_best):
        return "unlikely in time"
    if ewe.chance_now < DOUBTFUL:
        return "best grazing"
    if can_wait:
        return "rescore"
    return "best grazing" if ewe.chance_best > ewe.chance_now else "hold"


def _wait_until(ewe: Ewe, days: Days) -> date | None:
    """Day to score her by: in three weeks, or while best grazing can still help; None when that is past."""
    last = last_useful_date(ewe.score, ewe.low, days.ready_by, days.per_score)
    by = min(days.as_of + timedelta(weeks=_rescore_weeks()), last)
    return by if by > days.as_of else None


@cache
def _rescore_weeks() -> float:
    return reference.number("timing", figure="rescore thin ewes every")


def _reason(action: Action, ewe: Ewe, days: Days, wait: date | None) -> str:
    now, best = percent(ewe.chance_now), percent(ewe.chance_best)
    by = _day(days.ready_by)
    if action == "over":
        return f"{ewe.score:g} is above {ewe.high:g}: hard going, slowly; never starve a fat ewe"
    if ewe.score >= ewe.low:
        return f"on target at {ewe.score:g}; {now} likely to be so on {by}"
    here = f"{now} likely to be ready by {by} where she is"
    arithmetic = _arithmetic(action, ewe, days)
    if action == "hold":
        return f"{ewe.score:g} is below {ewe.low:g}, but {here}{arithmetic}"
    if action == "rescore" and wait:
        return f"{here}: score again by {_day(wait)}, while best grazing can still help{arithmetic}"
    if action == "best grazing":
        return f"{here}, {best} on best grazing from now{arithmetic}"
    return f"{here}, {best} on best grazing from now{arithmetic}: examine, and decide on culling with the vet"


def _arithmetic(action: Action, ewe: Ewe, days: Days) -> str:
    """Days needed and left, and why the chance says otherwise where it does."""
    needed = float(days_needed(ewe.score, ewe.low, days.per_score))
    left, since = (days.ready_by - days.as_of).days, (days.as_of - days.scored_on).days
    told = f"; from {ewe.score:g} the usual rate needs {needed:.0f} days, {left} left"
    if needed > left and action != "unlikely in time":
        had = f"she has had {since} days since scoring and " if since > 0 else ""
        return f"{told}, but {had}a score stands for a range, and ewes may gain faster"
    if needed <= left and action == "unlikely in time":
        return f"{told}, but allowing for the pace here and how sure it is, that is not enough"
    return told


def _day(when: date) -> str:
    return f"{when.day} {when:%B}"


def thin_running(scores: Sequence[float], lows: Sequence[float]) -> int:
    """Sessions running, ending with the latest, in which a ewe was below that session's low: oldest first."""
    thin = np.asarray(scores, dtype=float) < np.asarray(lows, dtype=float)
    right = np.flatnonzero(~thin)
    return len(thin) - (int(right[-1]) + 1 if len(right) else 0)
