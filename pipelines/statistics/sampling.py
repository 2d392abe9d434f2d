"""How many ewes to score next time for a chosen precision."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special, stats

from pipelines.statistics.proportions import Floats, wilson

_ROUNDING = 1e-9


def ewes_for_share(share: float, within: float, flock: int | None = None, confidence: float = 0.90) -> int:
    """Ewes to score so that the share found is within ± `within` of the true one with that confidence.

    `share` is the share expected, last time's for instance; one nearer to 0 or 1 than `within` is taken to
    be `within` away, since a flock expected to have no thin ewe is scored to see whether that holds.
    Exact: hypergeometric for a flock of that size, whose true count is `share` × `flock` rounded; binomial
    for None. Whole numbers make the chance go up and down as ewes are added: the answer is the number from
    which on it is never short again.
    Raises `ValueError` unless 0 ≤ share ≤ 1 and within > 0.
    """
    if not 0 <= share <= 1 or within <= 0:
        raise ValueError("a share from 0 to 1 and a precision above 0 are needed")
    least = min(within, 0.5)
    share = min(max(share, least), 1 - least)
    z = float(special.ndtri((1 + confidence) / 2))
    # twice what the normal approximation asks for, and more than the last step of whole numbers
    most = math.ceil(2 * share * (1 - share) * (z / within) ** 2) + 2 * math.ceil(1 / within)
    if flock is None:
        scored = np.arange(1, most + 1)
        chance = _chance_within(scored, share, within, stats.binom(scored, share).cdf)
    else:
        thin = max(1, round(share * flock))
        scored = np.arange(1, min(flock, most) + 1)
        chance = _chance_within(scored, thin / flock, within, stats.hypergeom(flock, thin, scored).cdf)
    short = np.flatnonzero(chance < confidence - _ROUNDING)
    return int(scored[short[-1]]) + 1 if len(short) else 1


def _chance_within(
    scored: NDArray[np.int64], share: float, within: float, up_to: Callable[[Floats], ArrayLike]
) -> Floats:
    """Chance that the share among the ewes scored is within ± `within`; `up_to` is the CDF of their count."""
    high = np.floor(scored * (share + within) + _ROUNDING)
    below = np.ceil(scored * (share - within) - _ROUNDING) - 1
    return np.asarray(up_to(high), np.float64) - np.asarray(up_to(below), np.float64)


def ewes_for_mean(sd: float, within: float, flock: int | None = None, confidence: float = 0.90) -> int:
    """Fewest ewes to score so that Student's t interval of the mean is at most ± `within` wide.

    `sd` is the standard deviation expected, last time's for instance. Finite population where `flock` is
    given: Cochran, Sampling Techniques, 3rd ed. 1977, chapter 4 (from memory). At least 2, or the flock.
    Raises `ValueError` unless sd ≥ 0 and within > 0.
    """
    if sd < 0 or within <= 0:
        raise ValueError("a spread of 0 or more and a precision above 0 are needed")
    most = flock or math.ceil((3 * sd / within) ** 2) + 20
    scored = np.arange(2, most + 1)
    left = 1 - scored / flock if flock else np.ones(len(scored))
    half = special.stdtrit(scored - 1, (1 + confidence) / 2) * sd * np.sqrt(left / scored)
    enough = np.flatnonzero(half <= within + _ROUNDING)
    return int(scored[enough[0]]) if len(enough) else most


def share_precision(
    scored: ArrayLike, share: float, flock: int | None = None, confidence: float = 0.90
) -> Floats:
    """Half the width of the Wilson interval at `share` for each number scored: the picture of precision."""
    scored = np.asarray(scored, dtype=np.float64)
    low, high = wilson(share * scored, scored, population=flock, confidence=confidence)
    return (high - low) / 2
