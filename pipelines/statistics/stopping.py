"""The stopping rule at the race: after n ewes, is the share of thin ewes already surely under or over?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]
Verdict = Literal["over", "under", "go on"]


@dataclass(frozen=True, slots=True)
class StoppingRule:
    """Whole-number limits after each ewe: `over[n]` or more thin among n say over, `under[n]` or fewer under.

    −1 and n + 1 mean that n ewes cannot say it. `flock` None is an endless flock.
    """

    limit: float
    flock: int | None
    over: Ints
    under: Ints

    def verdict(self, scored: int, thin: int) -> Verdict:
        """What `thin` among `scored` ewes say; raises `ValueError` outside the rule's range."""
        if not 0 <= thin <= scored < len(self.over):
            raise ValueError(f"the rule covers up to {len(self.over) - 1} ewes, not {thin} of {scored}")
        if thin >= self.over[scored]:
            return "over"
        return "under" if thin <= self.under[scored] else "go on"


@dataclass(frozen=True, slots=True)
class Outcomes:
    """Chances of each end of a rule at one true share, and the mean number of ewes scored."""

    over: float
    under: float
    undecided: float
    scored: float


def stopping_rule(limit: float, flock: int | None, *, most: int, error: float = 0.05) -> StoppingRule:
    """Rule that looks after every ewe, up to `most`, whether more than `limit` of the flock are thin.

    The chance of ever saying 'over' when the flock is at or under the limit is at most `error`, and so is
    that of ever saying 'under' when it is over: looking many times is allowed for. At every look the
    one-sided exact test has the same level, the greatest that keeps both errors (exact enumeration of all
    paths, found by bisection): Pocock 1977, doi:10.1093/biomet/64.2.191, for counts and finite flocks.
    Ewes must come down the race in no particular order. Cost: `most` squared.
    """
    most = min(most, flock or most)
    good, bad = _boundary_flocks(limit, flock)
    at_good, at_bad = _up_to(flock, good, most), _up_to(flock, bad, most)
    safe, unsafe = 0.0, error
    for _ in range(12):
        level = (safe + unsafe) / 2
        rule = _at_level(limit, flock, at_good, at_bad, level)
        fine = outcomes(rule, good).over <= error and outcomes(rule, bad).under <= error
        safe, unsafe = (level, unsafe) if fine else (safe, level)
    return _at_level(limit, flock, at_good, at_bad, safe)


def outcomes(rule: StoppingRule, thin: float) -> Outcomes:
    """Exact chances when `thin` ewes of the flock are thin (endless flock: when that share is)."""
    going, over, under, scored = np.array([1.0]), 0.0, 0.0, 0.0
    for n in range(1, len(rule.over)):
        scored += float(going.sum())
        going = _one_more(going, rule.flock, thin)
        stop_over, stop_under = np.arange(n + 1) >= rule.over[n], np.arange(n + 1) <= rule.under[n]
        over, under = over + float(going[stop_over].sum()), under + float(going[stop_under].sum())
        going = np.where(stop_over | stop_under, 0.0, going)
    return Outcomes(over, under, float(going.sum()), scored)


def _one_more(going: Floats, flock: int | None, thin: float) -> Floats:
    """Chances of 0, 1, … thin after one more ewe, from those after the ewes so far."""
    scored = len(going) - 1
    count = np.arange(scored + 1)
    next_thin = np.full(scored + 1, thin) if flock is None else (thin - count) / (flock - scored)
    next_thin = np.clip(next_thin, 0, 1).astype(np.float64)
    chances: Floats = np.append(going * (1 - next_thin), 0.0)
    chances[1:] += going * next_thin
    return chances


def _boundary_flocks(limit: float, flock: int | None) -> tuple[float, float]:
    """The flock at or under the limit with most thin ewes, and the one over it with fewest."""
    if flock is None:
        return limit, limit
    most_allowed = math.floor(limit * flock + 1e-9)
    return most_allowed, most_allowed + 1


def _up_to(flock: int | None, thin: float, most: int) -> list[Floats]:
    """Chance of at most 0, 1, … n thin among the first n ewes, for n from 0 to `most`."""
    chances = [np.array([1.0])]
    for _ in range(most):
        chances.append(_one_more(chances[-1], flock, thin))
    return [chance.cumsum() for chance in chances]


def _at_level(
    limit: float, flock: int | None, at_good: list[Floats], at_bad: list[Floats], level: float
) -> StoppingRule:
    """Over: so many or more are rarer than `level` in the good flock; under: so few or fewer in the bad."""
    over = [1 + int((1 - up_to[:-1] > level).sum()) for up_to in at_good]
    under = [int((up_to <= level).sum()) - 1 for up_to in at_bad]
    return StoppingRule(limit, flock, np.array(over), np.array(under))
