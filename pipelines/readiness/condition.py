"""The condition a ewe is in, given the score that was written down for her.

A recorded score is her condition plus the scorer's error, rounded to the step. Extreme scores are partly
error, so a ewe's condition lies nearer her group's mean than her score (Kelley 1947, Fundamentals of
Statistics, regressed scores); the variance of rounded scores is too large by step² / 12 (Sheppard 1898,
doi:10.1112/plms/s1-29.1.353).
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq
from scipy.special import ndtr

from pipelines import reference

Floats = NDArray[np.float64]
PRIOR_EWES = 4.0  # weight of the published spread, in ewes: matters only in very small groups
NARROWEST = 1e-3  # width of a score class that is never undercut, so that nothing is divided by zero


@dataclass(frozen=True, slots=True)
class Condition:
    """True condition given the record: a normal about `mean + u`, `u` uniform of total `width`.

    `mean` and `width` have shape (n_cells,). Per group, shape (n_groups,): `ewe_sd` the normal spread of
    one ewe about that, `shared_sd` the error of the group's mean and the scorer's offset, which shift the
    whole group together, `reliability` (Kelley), the share of the spread of records that is real, and
    `group_mean` and `true_sd` of the ewes' condition.
    """

    mean: Floats
    width: Floats
    ewe_sd: Floats
    shared_sd: Floats
    reliability: Floats
    group_mean: Floats
    true_sd: Floats


@dataclass(frozen=True, slots=True)
class Offset:
    """What is known of the offset of each group's session, in scores: shape (n_groups,).

    Given that the group's rate lies `z` standard deviations above its median, the offset is normal about
    `mean + slope * z` with `sd`: scores that rose unexpectedly fast may show a fast farm or a generous
    scorer, and the more they show the one the less they show the other.
    """

    mean: Floats
    slope: Floats
    sd: Floats


def true_condition(
    starts: NDArray[np.intp],
    score: Floats,
    ewes: Floats,
    step: Floats,
    scorer_sd: float,
    offset_sd: float | Floats,
) -> Condition:
    """Condition of ewes by score cell, the cells sorted by group.

    Parameters
    ----------
    starts : index of each group's first cell, shape (n_groups,).
    score, ewes : recorded score and number of ewes with it, shape (n_cells,).
    step : scoring step of each group in scores, shape (n_groups,).
    scorer_sd : standard deviation of the scorer's error for one ewe, before rounding.
    offset_sd : standard deviation of the offset of a whole session's scores, one or shape (n_groups,).

    A group of one has no mean of its own to regress to: her condition is her score with the scorer's error.
    Where everyone has the same score, all of the (missing) spread is taken for error.
    """
    group = np.repeat(np.arange(len(starts)), np.diff(np.append(starts, len(score))))
    number = np.add.reduceat(ewes, starts)
    mean = np.add.reduceat(ewes * score, starts) / number
    away = score - mean[group]
    true_variance, read_variance = _variances(
        np.add.reduceat(ewes * away**2, starts), number, step, scorer_sd
    )
    kept = np.where(read_variance > 0, true_variance / np.where(read_variance > 0, read_variance, 1), 1.0)
    # within a class, readings nearer the group mean are commoner: Sheppard's correction as a shift
    grouping = step**2 / 12
    shift = np.where(number > 1, grouping / (read_variance + grouping), 0.0)[group] * away
    shift = np.clip(shift, -0.45 * step[group], 0.45 * step[group])
    return Condition(
        mean=mean[group] + kept[group] * (away - shift),
        width=np.maximum(kept[group] * (step[group] - 2 * np.abs(shift)), NARROWEST),
        ewe_sd=np.sqrt(true_variance * (1 - kept)),
        shared_sd=np.sqrt(offset_sd**2 + (1 - kept) ** 2 * (read_variance + grouping) / number),
        reliability=kept,
        group_mean=mean,
        true_sd=np.sqrt(true_variance),
    )


def _variances(squares: Floats, number: Floats, step: Floats, scorer_sd: float) -> tuple[Floats, Floats]:
    """Variance of true condition, and of unrounded readings, in each group."""
    recorded = published_spread() ** 2 + scorer_sd**2 + step**2 / 12
    observed = (squares + PRIOR_EWES * recorded) / (number - 1 + PRIOR_EWES)
    true = np.maximum(observed - step**2 / 12 - scorer_sd**2, 0)
    return true, true + scorer_sd**2


@cache
def published_spread() -> float:
    """Standard deviation of condition within flocks; that of recorded scores, about 0.5, stands for it."""
    return reference.number("real_flocks", figure="spread of scores")


def expected_kappa(scorer_sd: float, spread: float, step: float) -> float:
    """Linearly weighted kappa expected of two readings of the same ewes, independent given her condition.

    Her condition is normal about 3 with standard deviation `spread`; each reading adds an error with
    `scorer_sd` and is rounded to `step`. Weighted kappa: Cohen 1968, doi:10.1037/h0026256.
    """
    scores = np.arange(1, 5 + step / 2, step)
    edges = np.concatenate([[-np.inf], scores[:-1] + step / 2, [np.inf]])
    z = np.linspace(-5, 5, 801)
    chance = np.diff(ndtr((edges - (3 + spread * z)[:, None]) / scorer_sd), axis=1)
    weight = np.exp(-0.5 * z**2)
    joint = (chance * (weight / weight.sum())[:, None]).T @ chance
    apart = np.abs(scores[:, None] - scores)
    return float(1 - (joint * apart).sum() / (np.outer(joint.sum(1), joint.sum(0)) * apart).sum())


def implied_scorer_sd(kappa: float, spread: float, step: float) -> float:
    """The scorer's error, in scores, at which `expected_kappa` equals a published agreement."""
    return float(brentq(lambda sd: expected_kappa(sd, spread, step) - kappa, 0.01, 3.0, xtol=1e-6))


@cache
def published_errors() -> tuple[float, float]:
    """Scorer's error for one ewe, and offset of a whole session, in scores, from published agreement.

    Within one scorer a kappa of 0.7 (half scores) implies 0.16; between recalibrated scorers 0.55 (full
    scores; the middle of 0.4 to 0.7) implies 0.25. What scorers differ by beyond one scorer's own error,
    √(0.25² − 0.16²), is part habit (an offset of the whole session) and part opinion about single ewes; no
    source divides it, so half of its variance goes to each. Linear weights and a true
    spread of 0.5 are assumed.
    """
    within = reference.figure("scorer_agreement", figure="within one scorer, half scores").value
    between = reference.figure("scorer_agreement", figure="between scorers, full scores, after recalibration")
    assert within and between.low and between.high  # rows that the table's own test keeps
    own = implied_scorer_sd(within, published_spread(), 0.5) ** 2
    extra = implied_scorer_sd((between.low + between.high) / 2, published_spread(), 1.0) ** 2 - own
    return float(np.sqrt(own + extra / 2)), float(np.sqrt(extra / 2))
