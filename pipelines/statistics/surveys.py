"""How many ewes to examine to find a condition, and what negative results can and cannot say.

Every function takes the number N of ewes sampled from as `flock` (None: endless). The least number of
affected ewes that a prevalence p stands for is D = N·p rounded down, at least 1: of the two whole numbers
the one that asks for more samples. Tests are taken never to be wrongly positive (specificity 1).
"""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from scipy import stats

_ROUNDING = 1e-9


def affected(flock: int, prevalence: float) -> int:
    """D: number of affected ewes that `prevalence` stands for in a flock."""
    return max(1, math.floor(flock * prevalence + _ROUNDING))


def chance_all_negative(
    examined: int, flock: int | None, prevalence: float, sensitivity: float = 1.0
) -> float:
    """Chance that all `examined` ewes test negative though the condition is present at `prevalence`.

    Exact: each affected ewe in the sample, hypergeometric (endless flock: binomial), is missed with
    chance 1 − sensitivity.
    """
    if flock is None:
        return float((1 - prevalence * sensitivity) ** examined)
    return _all_negative(examined, flock, affected(flock, prevalence), sensitivity)


def ewes_to_examine(
    flock: int | None, prevalence: float, confidence: float = 0.95, sensitivity: float = 1.0
) -> int | None:
    """Fewest ewes so that at least one tests positive with the given confidence; None if all are too few.

    Cannon and Roe 1982, Livestock disease surveys, exact hypergeometric form.
    """
    missed = 1 - confidence + _ROUNDING
    positive = prevalence * sensitivity
    if flock is None:
        return 1 if positive >= 1 else math.ceil(math.log(1 - confidence) / math.log1p(-positive) - _ROUNDING)
    if chance_all_negative(flock, flock, prevalence, sensitivity) > missed:
        return None
    return _first(
        1, flock, lambda examined: chance_all_negative(examined, flock, prevalence, sensitivity) <= missed
    )


def ewes_to_examine_formula(
    flock: int, prevalence: float, confidence: float = 0.95, sensitivity: float = 1.0
) -> int:
    """The same by the approximation in use, (1 − n·Se/N)^(pN) ≤ 1 − confidence: MacDiarmid 1988, USDA APHIS.

    May exceed the flock; `ewes_to_examine` then says that the confidence is out of reach.
    """
    missed = math.exp(math.log(1 - confidence) / (prevalence * flock))
    return math.ceil(flock / sensitivity * (1 - missed) - _ROUNDING)


def prevalence_excluded(
    negatives: int, flock: int | None, confidence: float = 0.95, sensitivity: float = 1.0
) -> float | None:
    """Smallest prevalence that so many negatives, and no positive, exclude with the given confidence.

    None when they exclude nothing, not even that every ewe is affected.
    """
    missed = 1 - confidence + _ROUNDING
    if (1 - sensitivity) ** negatives > missed:
        return None
    if flock is None:
        return float((1 - (1 - confidence) ** (1 / negatives)) / sensitivity)
    number = _first(1, flock, lambda number: _all_negative(negatives, flock, number, sensitivity) <= missed)
    return number / flock


def chance_all_pools_negative(
    pools: int, pool_size: int, flock: int | None, prevalence: float, sensitivity: float = 1.0
) -> float:
    """Chance that all pooled samples of `pool_size` ewes each test negative at `prevalence`.

    A pool with at least one affected ewe tests positive with chance `sensitivity`, however many it holds.
    Exact: coefficients of (1 + (1 − Se)((1 + x)^k − 1))^pools count the ways to spread affected ewes.
    """
    examined, missed = pools * pool_size, 1 - sensitivity
    if flock is None:
        return float((1 - sensitivity * (1 - (1 - prevalence) ** pool_size)) ** pools)
    _check(examined, flock)
    one = missed * np.array([math.comb(pool_size, number) for number in range(pool_size + 1)], dtype=float)
    one[0] = 1.0
    ways = np.array([1.0])
    for _ in range(pools):
        ways = np.convolve(ways, one)
    number = np.arange(examined + 1)
    every_way = np.array([float(math.comb(examined, int(count))) for count in number])
    in_sample = stats.hypergeom.pmf(number, flock, affected(flock, prevalence), examined)
    return float(in_sample @ (ways / every_way))


def _all_negative(examined: int, flock: int, number: int, sensitivity: float) -> float:
    _check(examined, flock)
    found = np.arange(min(examined, number) + 1)
    return float(stats.hypergeom.pmf(found, flock, number, examined) @ (1 - sensitivity) ** found)


def _check(examined: int, flock: int) -> None:
    if not 0 <= examined <= flock:
        raise ValueError(f"{examined} of {flock} ewes cannot be examined")


def _first(low: int, high: int, enough: Callable[[int], bool]) -> int:
    """First whole number that is enough, where every greater one is; `high` must be."""
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if enough(middle) else (middle + 1, high)
    return low
