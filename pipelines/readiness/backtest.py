"""Predictions of past sessions against what was then recorded: how good, and how honest."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines import reference
from pipelines.readiness.mixture import crps, distribution, quantiles
from pipelines.readiness.projection import Cells, Groups, Predicted

Floats = NDArray[np.float64]
LEVELS = (0.50, 0.80, 0.90)
BINS = 10


@dataclass(frozen=True, slots=True)
class Report:
    """How predictions of one kind did. Errors and CRPS are in shares; `covered` belongs to `LEVELS`.
    `bias` is what was expected less what came: above zero, the predictions promised too much.

    `calibration` counts predictions by where the observed share fell in its predicted distribution, ten
    bins from 0 to 1: level when calibrated, heavy at both ends when the intervals are too narrow.
    """

    predictions: int
    mean_absolute_error: float
    bias: float
    crps: float
    covered: tuple[float, ...]
    calibration: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Outcomes:
    """Each prediction beside what came, shape (n,): all in shares but `place`, where the observed share fell
    in its predicted distribution (0–1), and `held`, the narrowest of `LEVELS` whose interval held it (1: none
    did).
    """

    expected: Floats
    low: Floats
    high: Floats
    crps: Floats
    place: Floats
    held: Floats


def outcomes(predicted: Predicted, observed: Floats) -> Outcomes:
    """Compare each predicted distribution with its observed share; `low` and `high` are at 90 %."""
    share, sd, weight = predicted.share, predicted.sd, predicted.weight
    low, high = quantiles(share, sd, weight, LEVELS[-1])
    held = np.ones(len(observed))
    for level in reversed(LEVELS):
        held = np.where(_inside(predicted, observed, level), level, held)
    return Outcomes(
        expected=share @ weight,
        low=low,
        high=high,
        crps=crps(share, sd, weight, observed),
        place=distribution(share, sd, weight, observed),
        held=held,
    )


def report(found: Outcomes, observed: Floats) -> Report:
    """The outcomes in one figure each. Raises `ValueError` when there is nothing to compare."""
    if len(observed) == 0:
        raise ValueError("no later session to compare with: score the flocks twice in a season first")
    return Report(
        predictions=len(observed),
        mean_absolute_error=float(np.abs(found.expected - observed).mean()),
        bias=float((found.expected - observed).mean()),
        crps=float(found.crps.mean()),
        covered=tuple(float(np.mean(found.held <= level)) for level in LEVELS),
        calibration=tuple(np.histogram(found.place, bins=BINS, range=(0, 1))[0].tolist()),
    )


def assess(predicted: Predicted, observed: Floats) -> Report:
    """Compare predicted distributions with observed shares, shape (n,).

    Raises `ValueError` when there is nothing to compare.
    """
    return report(outcomes(predicted, observed), observed)


def _inside(predicted: Predicted, observed: Floats, level: float) -> NDArray[np.bool_]:
    low, high = quantiles(predicted.share, predicted.sd, predicted.weight, level)
    return np.asarray((low - 1e-9 <= observed) & (observed <= high + 1e-9))


def nothing_changes(cells: Cells, groups: Groups, recorded: Floats) -> Predicted:
    """The first rival: the share recorded now stays, give or take the luck of so many ewes."""
    return _steady(cells, groups, recorded, np.zeros(len(groups.days)))


def one_score_in_45_days(cells: Cells, groups: Groups, recorded: Floats) -> Predicted:
    """The second rival: every ewe gains one score in 45 days, give or take the luck of so many ewes."""
    days = reference.figure("timing", figure="one score on good feed").value
    assert days is not None
    return _steady(cells, groups, recorded, groups.days / days)


def _steady(cells: Cells, groups: Groups, recorded: Floats, gain: Floats) -> Predicted:
    """The share inside the band after every recorded score has moved by the same gain."""
    later = cells.score + gain[cells.group]
    low, high = groups.edges()
    inside = (later >= low[cells.group]) & (later < high[cells.group])
    n_groups = len(groups.days)
    number = np.bincount(cells.group, cells.ewes, n_groups)
    share = np.bincount(cells.group, cells.ewes * inside, n_groups) / number
    drawn = (share * number + 0.5) / (number + 1)  # so that 0 of 30 does not claim to be certain
    sd = np.sqrt(drawn * (1 - drawn) * (1 / number + 1 / recorded))
    return Predicted(share[:, None], sd[:, None], np.ones(1))
