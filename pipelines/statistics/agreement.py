"""Do two scorers, or one scorer twice, give the same ewes the same score?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

Floats: TypeAlias = NDArray[np.float64]
Weights = Literal["linear", "quadratic"]


@dataclass(frozen=True, slots=True)
class Kappa:
    """Weighted kappa with its interval, over `ewes` scored twice."""

    value: float
    low: float
    high: float
    ewes: int


def weighted_kappa(
    first: ArrayLike, second: ArrayLike, weights: Weights, *, step: float = 0.5, confidence: float = 0.90
) -> Kappa:
    """Agreement beyond chance of two scores per ewe (n_ewes each) on a scale with the given `step`.

    Weights fall with the distance in steps ('linear') or its square ('quadratic'). Large-sample interval,
    cut at −1 and 1. Raises `ValueError` when there is no ewe, a score does not fit the step, or one score
    alone occurs (chance agreement is then complete).
    Cohen 1968, doi:10.1037/h0026256; variance: Fleiss, Cohen and Everitt 1969, doi:10.1037/h0028106.
    """
    table = crossed(first, second, step)
    ewes, size = int(table.sum()), len(table)
    if size < 2:
        raise ValueError("kappa cannot be worked out because only one score occurs")
    share = table / ewes
    rows, columns = share.sum(axis=1), share.sum(axis=0)
    apart = np.abs(np.subtract.outer(np.arange(size), np.arange(size))) / (size - 1)
    weight = 1 - apart ** {"linear": 1, "quadratic": 2}[weights]
    observed, chance = float((weight * share).sum()), float(rows @ weight @ columns)
    value = (observed - chance) / (1 - chance)
    margins = np.add.outer(weight @ columns, rows @ weight)
    spread = (share * (weight - margins * (1 - value)) ** 2).sum() - (value - chance * (1 - value)) ** 2
    half = special.ndtri((1 + confidence) / 2) * np.sqrt(max(spread, 0.0) / ewes) / (1 - chance)
    return Kappa(value, max(value - half, -1.0), min(value + half, 1.0), ewes)


def crossed(first: ArrayLike, second: ArrayLike, step: float) -> Floats:
    """Number of ewes at each pair of scores, from the lowest to the highest that occurs (square)."""
    scores = np.array([first, second], dtype=np.float64) / step
    if scores.shape[1] == 0:
        raise ValueError("agreement needs at least one ewe scored twice")
    places = np.rint(scores).astype(int)
    if np.abs(places - scores).max() > 1e-6:
        raise ValueError(f"a score is no multiple of {step}")
    places -= places.min()
    table = np.zeros((places.max() + 1,) * 2)
    np.add.at(table, (places[0], places[1]), 1)
    return table


@dataclass(frozen=True, slots=True)
class LimitsOfAgreement:
    """First minus second scorer: mean with its interval, and the limits that hold 95 % of differences."""

    mean: float
    mean_low: float
    mean_high: float
    lower: float
    upper: float
    ewes: int


def limits_of_agreement(
    first: ArrayLike, second: ArrayLike, *, confidence: float = 0.90
) -> LimitsOfAgreement:
    """Mean difference of two scores per ewe (n_ewes each), and limits of agreement at 1.96 sd.

    `confidence` is for the interval of the mean (Student's t). Raises `ValueError` for fewer than two ewes.
    Bland and Altman 1986, doi:10.1016/S0140-6736(86)90837-8.
    """
    apart = np.asarray(first, dtype=np.float64) - np.asarray(second, dtype=np.float64)
    if len(apart) < 2:
        raise ValueError("limits of agreement need at least two ewes scored twice")
    mean, sd = float(apart.mean()), float(apart.std(ddof=1))
    half = float(special.stdtrit(len(apart) - 1, (1 + confidence) / 2)) * sd / np.sqrt(len(apart))
    return LimitsOfAgreement(mean, mean - half, mean + half, mean - 1.96 * sd, mean + 1.96 * sd, len(apart))
