"""What to do with each identified ewe, with the chance and the reason in words. The vet decides."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cache
from typing import Literal

import numpy as np

from pipelines import reference
from pipelines.readiness.timing import days_needed, last_useful_date

Action = Literal["hold", "best grazing", "rescore", "unlikely in time", "over"]
LIKELY = 0.8  # chance from which a ewe is left where she is
DOUBTFUL = 0.5  # chance under which waiting for another score would waste days
LONG_THIN = 3  # sessions running


@dataclass(frozen=True, slots=True)
class Ewe:
    """One identified ewe on the as-of date.

    `chance_now` and `chance_best` are her chances of being ready on the grazing she is on and on the best;
    `thin_sessions` counts the sessions running, the latest included, in which she was thin.
    """

    score: float
    low: float
    high: float
    chance_now: float
    chance_best: float
    thin_sessions: int = 0


@dataclass(frozen=True, slots=True)
class Decision:
    """What is suggested for one ewe: `rescore_by` is given for the action 'rescore' only."""

    action: Action
    chance: float
    rescore_by: date | None
    reason: str
    long_thin: bool


def decide(ewe: Ewe, as_of: date, ready_by: date, days_per_score: float = 52.0) -> Decision:
    """Suggest what to do with a ewe; `days_per_score` is the median on best grazing."""
    needed = float(days_needed(ewe.score, ewe.low, days_per_score))
    left = (ready_by - as_of).days
    rescore_by = None
    if ewe.score > ewe.high:
        action, chance, reason = _over(ewe)
    elif needed > 0 and needed > left:
        action, chance, reason = _unlikely(ewe, needed, left)
    elif ewe.chance_now >= LIKELY or needed == 0:
        action, chance, reason = "hold", ewe.chance_now, _hold(ewe)
    elif ewe.chance_now >= DOUBTFUL and left > 0:
        rescore_by = min(
            as_of + timedelta(weeks=_rescore_weeks()),
            last_useful_date(ewe.score, ewe.low, ready_by, days_per_score),
        )
        action, chance, reason = _rescore(ewe, rescore_by)
    else:
        action, chance, reason = _best(ewe, needed, left)
    long_thin = ewe.thin_sessions >= LONG_THIN
    if long_thin:
        reason += f"; thin {ewe.thin_sessions} sessions running: worth examining with the vet"
    return Decision(action, chance, rescore_by, reason, long_thin)


@cache
def _rescore_weeks() -> float:
    weeks = reference.figure("timing", figure="rescore thin ewes every").value
    assert weeks is not None
    return weeks


def _over(ewe: Ewe) -> tuple[Action, float, str]:
    return (
        "over",
        ewe.chance_now,
        (f"{ewe.score:g} is above {ewe.high:g}: hard going, slowly; never starve a fat ewe"),
    )


def _unlikely(ewe: Ewe, needed: float, left: int) -> tuple[Action, float, str]:
    remaining = f"{left} left" if left > 0 else "none left"
    return (
        "unlikely in time",
        ewe.chance_best,
        (
            f"needs {needed:.0f} days on best grazing, {remaining}: "
            "examine, and decide on culling with the vet"
        ),
    )


def _hold(ewe: Ewe) -> str:
    if ewe.score >= ewe.low:
        return f"on target at {ewe.score:g}; {ewe.chance_now:.0%} likely to be so when needed"
    return f"{ewe.score:g} is below {ewe.low:g}, but {ewe.chance_now:.0%} likely to be ready where she is"


def _rescore(ewe: Ewe, by: date) -> tuple[Action, float, str]:
    return (
        "rescore",
        ewe.chance_now,
        (
            f"{ewe.chance_now:.0%} likely to be ready where she is: score again by {by.day} {by:%B}, "
            "while best grazing can still help"
        ),
    )


def _best(ewe: Ewe, needed: float, left: int) -> tuple[Action, float, str]:
    return (
        "best grazing",
        ewe.chance_best,
        (
            f"needs {needed:.0f} days on best grazing, {left} left; "
            f"{ewe.chance_best:.0%} likely there, {ewe.chance_now:.0%} where she is"
        ),
    )


def thin_running(scores: Sequence[float], lows: Sequence[float]) -> int:
    """Sessions running, ending with the latest, in which a ewe was below that session's low: oldest first."""
    thin = np.asarray(scores, dtype=float) < np.asarray(lows, dtype=float)
    right = np.flatnonzero(~thin)
    return len(thin) - (int(right[-1]) + 1 if len(right) else 0)
