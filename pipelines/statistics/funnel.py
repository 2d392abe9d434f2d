"""Control limits for shares of thin ewes against the number scored."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special, stats

Floats: TypeAlias = NDArray[np.float64]


def limits(share: float, nobs: ArrayLike, confidence: float = 0.95) -> tuple[Floats, Floats]:
    """Exact binomial limits round the common `share` for samples of `nobs` ewes.

    A farm whose own share lies strictly outside does so by chance with probability at most
    (1 − confidence)/2 on that side. The limits are shares of whole ewes, hence steps, not smooth curves.
    Spiegelhalter 2005, doi:10.1002/sim.1970, without his interpolation between whole numbers.
    """
    nobs = np.asarray(nobs, dtype=np.float64)
    tail = (1 - confidence) / 2
    return stats.binom.ppf(tail, nobs, share) / nobs, stats.binom.ppf(1 - tail, nobs, share) / nobs


@dataclass(frozen=True, slots=True)
class Overdispersion:
    """How far farms differ: `phi` is 1 for chance alone, `tau` their own spread on the arcsine scale."""

    share: float
    phi: float
    tau: float


def overdispersion(thin: ArrayLike, ewes: ArrayLike, winsorised: float = 0.10) -> Overdispersion:
    """Measure the differences between farms (n_farms) round their common share.

    Standardised differences of arcsine-square-root shares are winsorised by the given part at either end,
    so that the farms a funnel is meant to find do not widen it; `phi` is the mean of their squares and `tau`
    the additive standard deviation by the method of moments, 0 where there is no more than chance.
    Raises `ValueError` for fewer than two farms. Spiegelhalter 2005, doi:10.1002/sim.1970, appendix A.
    """
    thin, ewes = np.asarray(thin, dtype=np.float64), np.asarray(ewes, dtype=np.float64)
    if len(thin) < 2:
        raise ValueError("differences between farms need at least two farms")
    share = thin.sum() / ewes.sum()
    z = (np.arcsin(np.sqrt(thin / ewes)) - np.arcsin(np.sqrt(share))) * 2 * np.sqrt(ewes)
    phi = float(np.mean(z.clip(*np.quantile(z, [winsorised, 1 - winsorised])) ** 2))
    weight = 4 * ewes
    beyond = len(z) * phi - (len(z) - 1)
    tau2 = beyond / (weight.sum() - (weight**2).sum() / weight.sum())
    return Overdispersion(float(share), phi, float(np.sqrt(max(tau2, 0.0))))


def wide_limits(found: Overdispersion, nobs: ArrayLike, confidence: float = 0.95) -> tuple[Floats, Floats]:
    """Limits that allow for farms differing by more than chance (additive model on the arcsine scale)."""
    nobs = np.asarray(nobs, dtype=np.float64)
    half = special.ndtri((1 + confidence) / 2) * np.sqrt(1 / (4 * nobs) + found.tau**2)
    centre = np.arcsin(np.sqrt(found.share))
    low, high = (centre - half).clip(0, np.pi / 2), (centre + half).clip(0, np.pi / 2)
    return np.sin(low) ** 2, np.sin(high) ** 2
