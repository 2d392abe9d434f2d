"""Beta-binomial model of many farms' shares: each farm's own share is drawn from one beta distribution.

Written with the mean share `mu` = a/(a + b) and the prior's weight in ewes `weight` = a + b.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray
from scipy import special

Floats: TypeAlias = NDArray[np.float64]
_Window: TypeAlias = tuple[tuple[float, float], tuple[float, float]]

TYPICAL_WEIGHT = 20.0
_NODES = 13  # per axis, hence under a standard deviation apart: the trapezoid rule needs no more
_TAIL = 10.0  # nodes more than this below the highest log density weigh under 5e-5
_NEGLIGIBLE = 5e-6  # weight of a node; leaving out those that have less moves no chance by 2e-5
_WIDEST = ((-12.0, 12.0), (-6.0, 9.0))  # standardised logit of mu; log of weight / TYPICAL_WEIGHT


@dataclass(frozen=True, slots=True)
class Fit:
    """The fitted prior: nodes (n_nodes) with weights that carry its uncertainty."""

    node_a: Floats
    node_b: Floats
    node_weight: Floats


def log_likelihood(thin: Floats, ewes: Floats, a: Floats | float, b: Floats | float) -> Floats:
    """Log beta-binomial likelihood of all farms together; `a` and `b` of any shape give that shape.

    Skellam 1948, J. R. Stat. Soc. B 10:257, doi:10.1111/j.2517-6161.1948.tb00014.x.
    """
    a, b = np.asarray(a, dtype=np.float64)[..., None], np.asarray(b, dtype=np.float64)[..., None]
    ways = -np.log1p(ewes) - special.betaln(ewes - thin + 1, thin + 1)
    each = ways + special.betaln(a + thin, b + ewes - thin) - special.betaln(a, b)
    return np.asarray(each.sum(axis=-1))


def fit(thin: Floats, ewes: Floats) -> Fit:
    """Fit the prior to `thin` of `ewes` scored per farm (n_farms) by its marginal likelihood.

    So that one to three farms, or none with a thin ewe, still have a sensible fit, the likelihood is
    multiplied by a weak density: `mu` uniform on 0–1, and the part of its own figure that a farm with
    TYPICAL_WEIGHT ewes keeps uniform on 0–1 (the uniform shrinkage prior, Daniels 1999,
    doi:10.2307/3316112). The choice of 20 is ours: it corresponds to shares that differ between farms by
    about ±8 points. The uncertainty of the fit is kept as a two-way grid of nodes (adaptive quadrature).
    """
    window: _Window = _WIDEST
    for _ in range(4):
        density = _grid(thin, ewes, window).density
        near = density > density.max() - _TAIL
        window = (_span(window[0], near.any(axis=1)), _span(window[1], near.any(axis=0)))
    grid = _grid(thin, ewes, window)
    weight = np.exp(grid.density - grid.density.max())
    node_a, node_b = _shape(grid.x, grid.y)
    return Fit(node_a.ravel(), node_b.ravel(), (weight / weight.sum()).ravel())


def posterior(found: Fit, thin: Floats, ewes: Floats) -> tuple[Floats, Floats]:
    """Beta distribution (a, b per farm) of each farm's underlying share, given its own ewes and the fit.

    The mixture over the fit's nodes is replaced by the beta with the same mean and variance.
    """
    total = found.node_a + found.node_b + ewes[:, None]
    mean_at = (found.node_a + thin[:, None]) / total
    within = mean_at * (1 - mean_at) / (total + 1)
    mean = mean_at @ found.node_weight
    variance = (within + (mean_at - mean[:, None]) ** 2) @ found.node_weight
    weight = mean * (1 - mean) / variance - 1
    return mean * weight, (1 - mean) * weight


def share_above(found: Fit, thin: float, ewes: float, limit: float) -> float:
    """Chance that a farm's underlying share is above `limit`; exact, over all nodes of the fit."""
    a, b, weight = _heavy(found)
    return float(special.betaincc(a + thin, b + ewes - thin, limit) @ weight)


def number_above(found: Fit, thin: float, ewes: float, rest: int, number: int) -> float:
    """Chance that more than `number` of the `rest` ewes not scored are thin, given that `thin` of `ewes` are.

    Exact, over all nodes of the fit: sums of the beta-binomial, each term by its ratio to the one before.
    """
    if not 0 <= number < rest:
        return 1.0 if number < 0 else 0.0
    a, b, weight = _heavy(found)
    a, b = a[:, None] + thin, b[:, None] + (ewes - thin)
    none = special.betaln(a, b + rest) - special.betaln(a, b)
    before = np.arange(number)
    ratios = np.log((rest - before) / (before + 1) * (a + before) / (b + rest - before - 1))
    terms = np.concatenate([none, none + ratios.cumsum(axis=1)], axis=1)
    return float(np.clip(1 - np.exp(terms).sum(axis=1) @ weight, 0, 1))


def _heavy(found: Fit) -> tuple[Floats, Floats, Floats]:
    """The nodes that count, their weights brought to one again."""
    heavy = found.node_weight > _NEGLIGIBLE
    weight = found.node_weight[heavy]
    return found.node_a[heavy], found.node_b[heavy], weight / weight.sum()


def _shape(x: Floats, y: Floats) -> tuple[Floats, Floats]:
    weight = TYPICAL_WEIGHT * np.exp(y)
    return special.expit(x) * weight, special.expit(-x) * weight


def _log_density(thin: Floats, ewes: Floats, x: Floats, y: Floats) -> Floats:
    """Log likelihood plus the log of the weak density of (x, y), which is logistic in both."""
    weak = sum(special.log_expit(value) + special.log_expit(-value) for value in (x, y))
    return log_likelihood(thin, ewes, *_shape(x, y)) + weak


@dataclass(frozen=True, slots=True)
class _Grid:
    """Logit of mu and log of weight at every node, and the log density per unit of the grid's own axes."""

    x: Floats
    y: Floats
    density: Floats


def _grid(thin: Floats, ewes: Floats, window: _Window) -> _Grid:
    """Nodes over a rectangle. The first axis is the logit of mu in its standard deviations at that weight:

    with little weight `mu` is vague, with much it is sharp, and no rectangle in plain logits suits both.
    """
    across, y = np.meshgrid(*(np.linspace(low, high, _NODES) for low, high in window), indexing="ij")
    pooled = (thin.sum() + 0.5) / (ewes.sum() + 1)
    correlated = 1 / (TYPICAL_WEIGHT * np.exp(y) + 1)
    effective = (ewes / (1 + (ewes - 1) * correlated[..., None])).sum(axis=-1)
    sd = 1 / np.sqrt(effective * pooled * (1 - pooled) + 0.25)
    x = special.logit(pooled) + across * sd
    # beyond ±18 the mean share is within 2e-8 of 0 or 1, and the beta function loses all its digits
    density = np.where(np.abs(x) < 18, _log_density(thin, ewes, x, y) + np.log(sd), -np.inf)
    return _Grid(x, y, density)


def _span(window: tuple[float, float], near: NDArray[np.bool_]) -> tuple[float, float]:
    """Ends of the part of a window whose nodes are `near`, one step wider on either side."""
    axis = np.linspace(*window, _NODES)
    inside, step = axis[near], axis[1] - axis[0]
    return float(inside[0] - step), float(inside[-1] + step)
