"""How fast ewes may gain where their grazing was not written down, and what gain it comes to.

Pace is the rate of gain as a share of the usual one on ordinary grazing: at 0 ewes stand still. A season has
two parts, before and after the day on which building up for the rams begins, and a pace in each. Paces are
normal, two numbers with their covariance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from pipelines import reference
from pipelines.readiness.condition import Offset
from pipelines.readiness.gain import Z95, Rates, ewe_variation, published
from pipelines.readiness.holding import EVEN, PARTS

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
SMALLEST_SD = 1e-6  # of a gain, in scores: keeps the limit of no days free of divisions by zero
LEAST_PACE = 0.25  # at which ewes differ from one another, however slowly their group gains


@dataclass(frozen=True, slots=True)
class PracticePace:
    """What is known of the farms of a practice; each pair is for the early and the late part of a season.

    `mean` over its farms, give or take `mean_sd`; `sd` of one farm's season about it, of which variance the
    share `lasting` is the farm's own in every season. `alike`: the correlation of the two parts.
    """

    mean: tuple[float, float]
    mean_sd: tuple[float, float]
    sd: tuple[float, float]
    alike: float = 0.5
    lasting: float = 0.5


@dataclass(frozen=True, slots=True)
class Paces:
    """Pace of each farm and season asked for, early and late: shape (n, 2), covariance (n, 2, 2).

    The offset of the session asked for is `offset` − fall · pace, give or take `offset_sd`.
    """

    mean: Floats
    covariance: Floats
    offset: Floats
    fall: Floats
    offset_sd: Floats


@cache
def prior() -> tuple[float, float]:
    """Mean and standard deviation of the pace of a farm of which, and of whose practice, nothing is known.

    Every one of `PARTS`, from none to all of the ordinary rate, is as likely; for the rest the group drifts
    as on holding. With s the share, the variance is var(s) + E[s²] var(ordinary) + E[(1 − s)²] var(holding).
    """
    ordinary, holding = published(["ordinary"]), published(["holding"])
    usual = float(ordinary.median[0])
    spread = float(ordinary.high[0] - ordinary.low[0]) / (2 * Z95) / usual
    drift = float(holding.high[0]) / Z95 / usual
    mean, square = (float(np.dot(EVEN, PARTS**power)) for power in (1, 2))
    rest = float(np.dot(EVEN, (1 - PARTS) ** 2))
    return mean, float(np.sqrt(square - mean**2 + square * spread**2 + rest * drift**2))


@cache
def unseen() -> PracticePace:
    """A practice that has shown nothing: half of the prior's variance is of practices, half of farms."""
    mean, sd = prior()
    half = sd * 0.5**0.5
    return PracticePace((mean, mean), (half, half), (half, half))


@cache
def build_up_days() -> int:
    """Days before the rams go in from which thin ewes are fed for them: where the early part ends."""
    weeks = reference.figure("timing", figure="weaning to tupping, to put condition right").value
    assert weeks  # the table's own test asks for it
    return round(7 * weeks)


def parted(first: Floats, last: Floats, turn: Floats) -> Floats:
    """Days from `first` to `last` in the early part and in the late, divided on day `turn`: shape (n, 2)."""
    early, late = np.minimum(last, turn) - first, last - np.maximum(first, turn)
    return np.maximum(np.stack([early, late], axis=-1), 0.0)


def covariance(sd: Floats, alike: Floats) -> Floats:
    """Shape (n, 2, 2), from standard deviations, (n, 2), and correlations, (n,)."""
    together = sd[:, :, None] * sd[:, None, :]
    return np.asarray(together * np.where(np.eye(2, dtype=bool), 1.0, alike[:, None, None]))


def expected(known: Sequence[PracticePace]) -> tuple[Floats, Floats, Floats]:
    """Of each practice the mean, shape (n, 2), and two spreads, (n, 2, 2): of farms' effects, with the doubt
    of the mean, and of seasons' effects."""
    mean, mean_sd, sd = (
        np.array([getattr(each, name) for each in known]).reshape(-1, 2) for name in ("mean", "mean_sd", "sd")
    )
    alike, lasting = (np.array([getattr(each, name) for each in known]) for name in ("alike", "lasting"))
    whole, part = covariance(sd, alike), lasting[:, None, None]
    return mean, part * whole + covariance(mean_sd, np.zeros(len(mean))), (1 - part) * whole


def of_practice(known: Sequence[PracticePace], which: Ints, days: Floats, usual: float) -> Rates:
    """Rates of farms of which no more is known than of their practice, over `days`, shape (n, 2).

    `which` of the practices `known` each belongs to; `usual` is the ordinary rate in scores a day, also
    below.
    """
    mean, farms, seasons = (part[which] for part in expected(known))
    full = usual * days
    variance = np.einsum("ni,nij,nj->n", full, farms + seasons, full)
    return rates((full * mean).sum(axis=1), np.sqrt(variance), days.sum(axis=1), usual)


def gain(paces: Paces, days: Floats, usual: float) -> tuple[Floats, Floats, Offset]:
    """Mean and standard deviation of the gain over `days`, shape (n, 2), and the offset given that gain."""
    full = usual * days
    with_gain = np.einsum("nij,nj->ni", paces.covariance, full)
    sd = np.sqrt(np.maximum(np.einsum("ni,ni->n", full, with_gain), SMALLEST_SD**2))
    slope = -np.einsum("ni,ni->n", paces.fall, with_gain) / sd
    fallen = np.einsum("ni,nij,nj->n", paces.fall, paces.covariance, paces.fall)
    left = np.sqrt(np.maximum(paces.offset_sd**2 + fallen - slope**2, 0.0))
    offset = Offset(paces.offset - np.einsum("ni,ni->n", paces.fall, paces.mean), slope, left)
    return np.einsum("ni,ni->n", full, paces.mean), sd, offset


def rates(gain: Floats, sd: Floats, days: Floats, usual: float) -> Rates:
    """The rate, shared by a group, that brings this gain over so many `days`: normal, so it may be a loss."""
    days = np.maximum(days, 1.0)
    median, doubt = gain / days, Z95 * sd / days
    own = ewe_variation() * np.maximum(median, LEAST_PACE * usual)
    return Rates(median, median - doubt, median + doubt, np.full(len(median), np.inf), own)
