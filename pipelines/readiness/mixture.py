"""Mixtures of normals: quantiles, distribution function and CRPS of a predicted share."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

Floats = NDArray[np.float64]
MOST_STEPS = 60
AT_ONCE = 1000  # a few megabytes of scratch
CLOSE = 1e-5  # of the chance: far finer than any use of an interval


def averaged(values: Floats, weight: Floats) -> Floats:
    """Weighted mean over the points: `values` (n, k), `weight` (k,) of sum 1; shape (n,).

    Each row is summed in the same order however many there are. A product of matrices is not: its last
    digits depend on n, and a farm's figures would depend on which others are worked out with it.
    """
    mean: Floats = np.einsum("nk,k->n", values, weight)
    return mean


def smoothed(share: Floats, sd: Floats) -> Floats:
    """Standard deviations widened to half the gap between neighbouring points.

    The points stand for a continuous rate; without this a mixture of narrow normals would have steps.
    """
    gap = np.abs(np.diff(share, axis=1))
    edge = np.zeros((len(share), 1))
    around = np.maximum(np.concatenate([gap, edge], axis=1), np.concatenate([edge, gap], axis=1))
    wide: Floats = np.sqrt(sd**2 + (0.5 * around) ** 2) + 1e-9
    return wide


def quantiles(share: Floats, sd: Floats, weight: Floats, confidence: float) -> tuple[Floats, Floats]:
    """Central interval of each mixture: `share` and `sd` (n, k), `weight` (k,); kept within 0 and 1."""
    sd = smoothed(share, sd)
    tail = (1 - confidence) / 2
    return quantile(share, sd, weight, tail), quantile(share, sd, weight, 1 - tail)


def quantile(share: Floats, sd: Floats, weight: Floats, level: float) -> Floats:
    """The `level` quantile of each mixture, by Newton's steps kept inside a shrinking bracket."""
    mean = averaged(share, weight)
    spread = np.sqrt(np.maximum(averaged(share**2 + sd**2, weight) - mean**2, 1e-18))
    # by the Chebyshev-Cantelli inequality the quantile lies within this many standard deviations
    reach = np.sqrt(max(level, 1 - level) / min(level, 1 - level)) * spread
    low, high, at = mean - reach, mean + reach, mean + ndtri(level) * spread
    open_ = np.arange(len(mean))
    for _ in range(MOST_STEPS):
        excess, density = _excess(share[open_], sd[open_], weight, at[open_], level)
        low[open_] = np.where(excess < 0, at[open_], low[open_])
        high[open_] = np.where(excess < 0, high[open_], at[open_])
        far = np.abs(excess) > CLOSE
        open_, excess, density = open_[far], excess[far], density[far]
        if not len(open_):
            break
        step = at[open_] - excess / np.maximum(density, 1e-12)
        inside = (step > low[open_]) & (step < high[open_])
        at[open_] = np.where(inside, step, 0.5 * (low[open_] + high[open_]))
    return np.clip(at, 0, 1)


def _excess(share: Floats, sd: Floats, weight: Floats, at: Floats, level: float) -> tuple[Floats, Floats]:
    """Distribution function less `level`, and density, of each mixture at `at`."""
    z = (at[:, None] - share) / sd
    density = averaged(np.exp(-0.5 * z**2) / sd, weight) / np.sqrt(2 * np.pi)
    return averaged(ndtr(z), weight) - level, density


def distribution(share: Floats, sd: Floats, weight: Floats, at: Floats) -> Floats:
    """Chance that each mixture's share is at or below `at`: shape (n,)."""
    return ndtr((at[:, None] - share) / smoothed(share, sd)) @ weight


def crps(share: Floats, sd: Floats, weight: Floats, observed: Floats) -> Floats:
    """Continuous ranked probability score of each mixture: shape (n,), in shares; smaller is better.

    Closed form for a mixture of normals (Grimit et al. 2006, doi:10.1256/qj.05.235).
    """
    sd = smoothed(share, sd)
    score = _mean_distance(observed[:, None] - share, sd) @ weight
    for first in range(0, len(share), AT_ONCE):  # every point with every other: k times the memory
        rows = slice(first, first + AT_ONCE)
        apart = share[rows, :, None] - share[rows, None, :]
        both = np.sqrt(sd[rows, :, None] ** 2 + sd[rows, None, :] ** 2)
        score[rows] -= 0.5 * (_mean_distance(apart, both) @ weight) @ weight
    return score


def _mean_distance(mean: Floats, sd: Floats) -> Floats:
    """Expected absolute value of a normal."""
    z = mean / sd
    density = np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi)
    return np.asarray(2 * sd * density + mean * (2 * ndtr(z) - 1))
