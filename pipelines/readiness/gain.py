"""How fast ewes gain or lose condition: a distribution of the rate for every grazing class.

The rate is shared by all ewes of a group (one field, one sward, one season), so its uncertainty does not
average out over ewes; each ewe also has her own rate about the group's.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pipelines import reference
from pipelines.settings import GRAZING, DaysPerScore, Grazing

Floats = NDArray[np.float64]
Z95 = 1.6448536269514722  # standard normal quantile at 95 %


@dataclass(frozen=True, slots=True)
class Rates:
    """Distribution of the rate shared by each group, in scores per day; arrays of shape (n_groups,).

    `median`, `low` and `high` are the 50, 5 and 95 % quantiles and are met exactly. Where `low` is above
    zero the distribution is a two-piece lognormal (the logarithm of the rate, hence of the days per score,
    is normal with one spread below and another above the median); elsewhere it is a two-piece normal.
    `cap` is the fastest loss allowed, as a positive rate (infinite: none). `ewe_sd` is the standard
    deviation of single ewes' rates about the group's.
    """

    median: Floats
    low: Floats
    high: Floats
    cap: Floats
    ewe_sd: Floats

    def __post_init__(self) -> None:
        if not np.all((self.low <= self.median) & (self.median <= self.high)):
            raise ValueError("a rate needs low ≤ median ≤ high; give numbers for every group")
        if not np.all((self.cap > 0) & (self.ewe_sd >= 0)):
            raise ValueError("a rate needs a cap above zero and a spread between ewes of zero or more")

    def at(self, z: ArrayLike) -> Floats:
        """Rates at standard normal scores `z`, shape (k,) or (n_groups, k); shape (n_groups, k)."""
        z = np.asarray(z, dtype=float)
        lognormal = self.low > 0
        low, median, high = (
            np.log(np.where(lognormal, part, 1.0)) for part in (self.low, self.median, self.high)
        )
        gaining = np.exp(_two_piece(low, median, high, z))
        drifting = np.maximum(_two_piece(self.low, self.median, self.high, z), -self.cap[:, None])
        return np.where(lognormal[:, None], gaining, drifting)

    def take(self, groups: NDArray[np.intp]) -> Rates:
        """The rates of `groups` (indices, repeats allowed) in that order."""
        return Rates(
            self.median[groups], self.low[groups], self.high[groups], self.cap[groups], self.ewe_sd[groups]
        )

    def otherwise(self, here: NDArray[np.bool_], other: Rates) -> Rates:
        """These rates for the groups `here`, the `other` ones elsewhere."""
        names = ("median", "low", "high", "cap", "ewe_sd")
        return Rates(*(np.where(here, getattr(self, name), getattr(other, name)) for name in names))


def _two_piece(low: Floats, median: Floats, high: Floats, z: Floats) -> Floats:
    """Quantiles at `z` of the two-piece normal with these 5, 50 and 95 % quantiles."""
    below = (median - low)[:, None] / Z95
    above = (high - median)[:, None] / Z95
    return median[:, None] + z * np.where(z < 0, below, above)


def _setting(name: str) -> float:
    return reference.number("growth", name=name)


@cache
def ewe_variation() -> float:
    """Standard deviation of single ewes' rates about the group's, as a share of the group's median rate."""
    return _setting("variation between ewes")


@cache
def loss_cap() -> float:
    """Fastest loss of condition that `hard` going may cause, in scores per day: an adviser's setting."""
    return 1 / _setting("hard, fastest loss")


def published(
    grazing: Sequence[Grazing],
    days: Mapping[Grazing, DaysPerScore] | None = None,
    *,
    cap: float | None = None,
) -> Rates:
    """Rates of groups on these grazing classes, before anything is learned from the farm itself.

    Parameters
    ----------
    grazing : one class per group.
    days : days per score that the adviser set for `best` or `ordinary`; the reference's where missing.
    cap : fastest loss on `hard` going in scores per day; the reference's (an adviser's setting) where None.

    Raises `ValueError` when a class is unknown.
    """
    if unknown := set(grazing) - set(GRAZING):
        raise ValueError(f"unknown grazing class {sorted(unknown)}; known: {', '.join(GRAZING)}")
    by_class = _by_class({**reference.days_per_score(), **(days or {})}, cap or loss_cap())
    table = np.array([by_class[name] for name in GRAZING])
    columns = table[[GRAZING.index(name) for name in grazing]].reshape(-1, 5)
    return Rates(*columns.T)


def _by_class(days: Mapping[Grazing, DaysPerScore], cap: float) -> dict[Grazing, tuple[float, ...]]:
    """Median, low, high, cap and spread between ewes, all in scores per day."""
    holding = 1 / _setting("holding, days per score either way")
    usual_sd = ewe_variation() / days["ordinary"].median
    gaining = {
        name: (1 / row.median, 1 / row.high, 1 / row.low, np.inf, ewe_variation() / row.median)
        for name, row in days.items()
    }
    # 0.3, 0.5 and 0.7 of the cap: the two-piece normal then reaches the cap, and zero, only at z = ±4.1
    hard = (-0.5 * cap, -0.7 * cap, -0.3 * cap, cap, usual_sd)
    return {**gaining, "holding": (0.0, -holding, holding, np.inf, usual_sd), "hard": hard}


def days_per_score(rates: Rates) -> tuple[Floats, Floats, Floats]:
    """Median, 5 % and 95 % quantiles of the days to gain one score; infinite where the rate is not a gain."""
    with np.errstate(divide="ignore"):
        slow, usual, fast = (
            np.where(part > 0, 1 / np.where(part > 0, part, 1.0), np.inf)
            for part in (rates.low, rates.median, rates.high)
        )
    return usual, fast, slow
