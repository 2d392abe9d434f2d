"""Which farms have too many thin ewes, beyond chance: every farm of one season, stage and system together."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Protocol, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from pipelines.statistics import betabinomial
from pipelines.statistics.ranks import rank_chances, rank_limits

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]

_LEVELS = (np.arange(25) + 0.5) / 25
_CELLS = 150
_ROUNDING = 1e-9  # 0.10 × 180 must count as 18 ewes whatever the binary fraction


@dataclass(frozen=True, slots=True)
class Standing:
    """Arrays over farms (n_farms) in the order given; shares 0–1; rank 1 has most thin ewes.

    `adjusted` is the expected true share and lies between `low` and `high`; `rank` is its place and lies
    between `rank_low` and `rank_high`; equal adjusted shares have equal rank.
    """

    adjusted: Floats
    low: Floats
    high: Floats
    chance_too_many: Floats
    rank: Ints
    rank_low: Ints
    rank_high: Ints


def standing(
    thin: ArrayLike,
    ewes: ArrayLike,
    *,
    flock: ArrayLike | None = None,
    limit: float = 0.10,
    confidence: float = 0.90,
) -> Standing:
    """Standing of farms that are alike (one season, stage and system) by their share of thin ewes.

    `thin` of `ewes` scored, per farm (n_farms). `flock`, where given, is the number of ewes in the flock:
    the true share is then the share that would be recorded thin if every ewe of that flock were scored
    that day, so the ewes already scored are known and only the rest is uncertain; a wholly scored flock
    has no uncertainty and is not adjusted. Where `flock` is None or NaN the flock is taken as endless,
    and the true share is the underlying one. `limit` is the share above which there are too many thin.

    Hierarchical beta-binomial (see `betabinomial.fit`, which also carries the uncertainty of the fit). The
    chance of too many is exact over that uncertainty; intervals and ranks rest on the one beta of
    `betabinomial.posterior`; ranks by the exact distribution of `ranks.rank_chances` on a grid of at most
    150 cells. A place outside its own rank interval can occur when many farms are alike; the interval is
    then widened to hold it.
    Raises `ValueError` unless 0 ≤ thin ≤ ewes and ewes ≥ 1.
    """
    thin, ewes = _counts(thin, ewes)
    size = np.full(thin.shape, np.nan) if flock is None else np.asarray(flock, dtype=np.float64)
    found = betabinomial.fit(thin, ewes)
    a, b = betabinomial.posterior(found, thin, ewes)
    first, alike = _alike(thin, ewes, size)
    kinds = list(zip(thin[first], ewes[first], size[first], a[first], b[first], strict=True))
    shares = [_share(*kind) for kind in kinds]
    too_many = np.array([_too_many(found, limit, *kind[:3]) for kind in kinds])
    adjusted = np.array([share.mean for share in shares])[alike]
    tail = (1 - confidence) / 2
    ends = _rows(share.quantile(np.array([tail, 1 - tail])) for share in shares)[alike]
    rank = _places(-adjusted.round(12))
    chances = rank_chances(_below(shares)[alike], first)
    rank_low, rank_high = (each[alike] for each in rank_limits(chances, confidence))
    return Standing(
        adjusted=adjusted,
        low=np.minimum(ends[:, 0], adjusted),
        high=np.maximum(ends[:, 1], adjusted),
        chance_too_many=too_many[alike],
        rank=rank,
        rank_low=np.minimum(rank_low, rank),
        rank_high=np.maximum(rank_high, rank),
    )


def _too_many(found: betabinomial.Fit, limit: float, thin: float, ewes: float, size: float) -> float:
    """Chance that a farm's true share is above `limit`."""
    if np.isnan(size):
        return betabinomial.share_above(found, thin, ewes, limit)
    size = max(size, ewes)
    number = int(np.floor(limit * size - thin + _ROUNDING))
    return betabinomial.number_above(found, thin, ewes, int(size - ewes), number)


def _alike(*figures: Floats) -> tuple[Ints, Ints]:
    """The first farm of each kind that has the same figures, and the kind of every farm: worked out once."""
    keys = np.stack([np.nan_to_num(each, nan=-1.0) for each in figures], axis=1)
    _, first, alike = np.unique(keys, axis=0, return_index=True, return_inverse=True)
    return first, alike


class _Share(Protocol):
    @property
    def mean(self) -> float: ...
    def cdf(self, at: Floats) -> Floats: ...
    def quantile(self, level: Floats) -> Floats: ...


@dataclass(frozen=True, slots=True)
class _Underlying:
    """Beta distribution of the share in an endless flock."""

    a: float
    b: float

    @property
    def mean(self) -> float:
        return self.a / (self.a + self.b)

    def cdf(self, at: Floats) -> Floats:
        return np.asarray(special.betainc(self.a, self.b, np.clip(at, 0, 1)))

    def quantile(self, level: Floats) -> Floats:
        return np.asarray(special.betaincinv(self.a, self.b, level))


@dataclass(frozen=True, slots=True)
class _Flock:
    """Share in a flock of `size`: `thin` are known thin, and `under` is the chance that fewer than 0, 1, …
    of the rest are, and at last fewer than one more than they number."""

    thin: float
    size: float
    mean: float
    under: Floats

    def cdf(self, at: Floats) -> Floats:
        more = np.floor(at * self.size - self.thin + _ROUNDING).astype(int)
        return np.asarray(self.under[np.minimum(np.maximum(more + 1, 0), len(self.under) - 1)])

    def quantile(self, level: Floats) -> Floats:
        return np.asarray(
            (self.thin + np.searchsorted(self.under[1:], level - _ROUNDING)) / self.size, np.float64
        )


def _share(thin: float, ewes: float, size: float, a: float, b: float) -> _Share:
    if np.isnan(size):
        return _Underlying(a, b)
    size = max(size, ewes)  # a register may lag behind the session
    rest = size - ewes
    number = np.arange(rest + 1)
    log_ways = -np.log1p(rest) - special.betaln(rest - number + 1, number + 1)
    chance = np.exp(log_ways + special.betaln(a + number, b + rest - number) - special.betaln(a, b))
    up_to = chance.cumsum()
    return _Flock(thin, size, (thin + rest * a / (a + b)) / size, np.append(0.0, up_to / up_to[-1]))


def _below(shares: list[_Share]) -> Floats:
    """Chance of each farm's share at or under the upper edges of cells common to all; (n_farms, n_cells).

    Cells are narrow where farms' shares are likely to be, and keep different whole counts apart.
    """
    likely = np.unique(_rows(share.quantile(_LEVELS) for share in shares).round(12))
    if len(likely) > _CELLS:
        likely = np.quantile(likely, np.linspace(0, 1, _CELLS))
    edges = np.append((likely[1:] + likely[:-1]) / 2, 1.0)
    return _rows(share.cdf(edges) for share in shares)


def _rows(arrays: Iterable[Floats]) -> Floats:
    return np.array(list(arrays))


def _places(figures: Floats) -> NDArray[np.int64]:
    """Place of each figure from the lowest, which is 1; equal ones share the first of theirs.

    As `scipy.stats.rankdata` with its method "min", which takes a third of a second to load.
    """
    return np.searchsorted(np.sort(figures), figures) + 1


def _counts(thin: ArrayLike, ewes: ArrayLike) -> tuple[Floats, Floats]:
    thin, ewes = np.asarray(thin, dtype=np.float64), np.asarray(ewes, dtype=np.float64)
    if thin.size == 0 or not np.all((ewes >= 1) & (thin >= 0) & (thin <= ewes)):
        raise ValueError("a standing needs farms with at least one ewe scored, and thin between 0 and ewes")
    return thin, ewes
