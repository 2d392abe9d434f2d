"""A farm's own change from one season to the next, with its interval."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from pipelines.statistics.proportions import left_of_variance, wilson

Floats: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Change:
    """Later minus earlier, with an interval; arrays over farms."""

    change: Floats
    low: Floats
    high: Floats


@dataclass(frozen=True, slots=True)
class Shares:
    """`count` of `nobs` ewes per farm; `population` is the flock's size, None or NaN where not known."""

    count: ArrayLike
    nobs: ArrayLike
    population: ArrayLike | None = None


def change_in_share(earlier: Shares, later: Shares, confidence: float = 0.90) -> Change:
    """Change of a share between two independent sessions.

    Hybrid of the two Wilson intervals, hence with finite flocks: Newcombe 1998, method 10,
    doi:10.1002/(SICI)1097-0258(19980430)17:8<873::AID-SIM779>3.0.CO;2-I.
    The same ewes in both sessions make the true interval narrower than this one, not wider, as long as a
    ewe's two scores go together.
    """
    before, after = (
        np.asarray(at.count, np.float64) / np.asarray(at.nobs, np.float64) for at in (earlier, later)
    )
    low_1, high_1 = wilson(earlier.count, earlier.nobs, population=earlier.population, confidence=confidence)
    low_2, high_2 = wilson(later.count, later.nobs, population=later.population, confidence=confidence)
    change = after - before
    return Change(
        change,
        change - np.hypot(after - low_2, high_1 - before),
        change + np.hypot(high_2 - after, before - low_1),
    )


@dataclass(frozen=True, slots=True)
class Means:
    """`mean`, sample standard deviation `sd` (divisor n − 1) and `nobs` ewes (2 or more) by farm.

    `population` is the flock's size, None or NaN where not known.
    """

    mean: ArrayLike
    sd: ArrayLike
    nobs: ArrayLike
    population: ArrayLike | None = None


def change_in_mean(earlier: Means, later: Means, confidence: float = 0.90) -> Change:
    """Change of a mean score between two independent sessions: Welch 1947, doi:10.1093/biomet/34.1-2.28.

    With finite-population correction of either variance, as in `mean_interval`.
    """
    before, after = (np.asarray(at.mean, np.float64) for at in (earlier, later))
    n_1, n_2 = (np.asarray(at.nobs, np.float64) for at in (earlier, later))
    if np.any((n_1 < 2) | (n_2 < 2)):
        raise ValueError("a change of the mean needs at least two ewes in either session")
    part_1, part_2 = (
        np.asarray(at.sd, np.float64) ** 2 / n * left_of_variance(n, at.population, 0)
        for at, n in ((earlier, n_1), (later, n_2))
    )
    variance = part_1 + part_2
    spread = np.maximum(part_1**2 / (n_1 - 1) + part_2**2 / (n_2 - 1), np.finfo(float).tiny)
    degrees = np.maximum(variance**2 / spread, 1)
    half = special.stdtrit(degrees, (1 + confidence) / 2) * np.sqrt(variance)
    return Change(after - before, after - before - half, after - before + half)
