"""Mixtures of normals: quantiles, distribution function and CRPS of a predicted share."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

Floats = NDArray[np.float64]
STEPS = 8


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
    mean = share @ weight
    spread = np.sqrt(np.maximum((share**2 + sd**2) @ weight - mean**2, 1e-18))
    # by Chebyshev-Cantelli the quantile lies within this many standard deviations of the mean
    reach = np.sqrt(max(level, 1 - level) / min(level, 1 - level)) * spread
    low, high = mean - reach, mean + reach
    at = mean + ndtri(level) * spread
    for _ in range(STEPS):
        z = (at[:, None] - share) / sd
        excess = ndtr(z) @ weight - level
        density = (np.exp(-0.5 * z**2) / sd) @ weight / np.sqrt(2 * np.pi)
        low, high = np.where(excess < 0, at, low), np.where(excess < 0, high, at)
        with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
            step = at - excess / density
        at = np.where((step > low) & (step < high), step, 0.5 * (low + high))
    return np.clip(at, 0, 1)


def distribution(share: Floats, sd: Floats, weight: Floats, at: Floats) -> Floats:
    """Chance that each mixture's share is at or below `at`: shape (n,)."""
    return ndtr((at[:, None] - share) / smoothed(share, sd)) @ weight
