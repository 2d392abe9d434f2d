"""Intervals for a share and for a mean of part or all of a flock."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

Floats: TypeAlias = NDArray[np.float64]


def wilson(
    count: ArrayLike, nobs: ArrayLike, *, population: ArrayLike | None = None, confidence: float = 0.90
) -> tuple[Floats, Floats]:
    """Wilson's score interval for a share, with finite-population correction.

    `count` of `nobs` ewes have the property; arrays that broadcast. `population` is the size of the flock
    they were drawn from; NaN or None where it is not known (no correction). A register may lag behind, so
    a flock smaller than `nobs` counts as wholly scored, and then the interval is the share itself.
    Returns lower and upper limits (0–1). Raises `ValueError` unless 0 ≤ count ≤ nobs and nobs ≥ 1.

    Wilson 1927, doi:10.1080/01621459.1927.10502953. The correction multiplies the sampling variance, hence
    z², by (N − n)/(N − 1): Cochran, Sampling Techniques, 3rd ed. 1977, section 3.3 (from memory).
    """
    count, nobs = _counts(count, nobs)
    z2 = special.ndtri((1 + confidence) / 2) ** 2 * left_of_variance(nobs, population, 1)
    share = count / nobs
    centre = (share + z2 / (2 * nobs)) / (1 + z2 / nobs)
    half = np.sqrt(z2 * (share * (1 - share) / nobs + z2 / (4 * nobs**2))) / (1 + z2 / nobs)
    # at 0 and at all ewes the limit is exact in theory; rounding may leave 1e-17 there
    low = np.where(count == 0, 0.0, np.clip(centre - half, 0, 1))
    high = np.where(count == nobs, 1.0, np.clip(centre + half, 0, 1))
    return low, high


def jeffreys(count: ArrayLike, nobs: ArrayLike, *, confidence: float = 0.90) -> tuple[Floats, Floats]:
    """Jeffreys' interval for a share: quantiles of Beta(count + ½, nobs − count + ½), 0 and 1 at the ends.

    Shapes and errors as in `wilson`. Brown, Cai and DasGupta 2001, doi:10.1214/ss/1009213286.
    """
    count, nobs = _counts(count, nobs)
    tail = (1 - confidence) / 2
    a, b = count + 0.5, nobs - count + 0.5
    low = np.where(count == 0, 0.0, special.betaincinv(a, b, tail))
    high = np.where(count == nobs, 1.0, special.betaincinv(a, b, 1 - tail))
    return low, high


def mean_interval(
    mean: ArrayLike,
    sd: ArrayLike,
    nobs: ArrayLike,
    *,
    population: ArrayLike | None = None,
    confidence: float = 0.90,
) -> tuple[Floats, Floats]:
    """Student's t interval for a mean, with finite-population correction.

    `sd` is the sample standard deviation (divisor n − 1). The spread of one ewe alone is not known: both
    limits are NaN there unless she is the whole flock, and are to be stored as null. Arrays broadcast.
    Student 1908, doi:10.1093/biomet/6.1.1.
    """
    mean, sd, nobs = (np.asarray(values, dtype=np.float64) for values in (mean, sd, nobs))
    left = left_of_variance(nobs, population, 0)
    with np.errstate(invalid="ignore"):
        t = special.stdtrit(nobs - 1, (1 + confidence) / 2)
        half = np.where(left == 0, 0.0, t * sd * np.sqrt(left / nobs))
    return mean - half, mean + half


def left_of_variance(nobs: ArrayLike, population: ArrayLike | None, less: int) -> Floats:
    """(N − n)/(N − less): the part of a sampling variance left when n of N ewes are scored; 1 for N unknown.

    `less` is 1 where the spread is that of the flock with divisor N (a share), 0 where it is with N − 1.
    """
    nobs = np.asarray(nobs, dtype=np.float64)
    if population is None:
        return np.ones_like(nobs)
    size = np.maximum(np.asarray(population, dtype=np.float64), nobs)
    return np.where(np.isnan(size), 1.0, (size - nobs) / np.maximum(size - less, 1))


def _counts(count: ArrayLike, nobs: ArrayLike) -> tuple[Floats, Floats]:
    count, nobs = np.asarray(count, dtype=np.float64), np.asarray(nobs, dtype=np.float64)
    if not np.all((nobs >= 1) & (count >= 0) & (count <= nobs)):
        raise ValueError("a share needs at least one ewe, and a count between 0 and the number of ewes")
    return count, nobs
