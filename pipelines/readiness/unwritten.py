"""The pace of ewes whose grazing was not written down, learned from intervals of just such grazing.

In both parts of a season (see `pace`) a farm's pace is

    practice + farm effect + season effect,

three normals of two numbers each. The effects' spread, and how much of it lasts from season to season, is
estimated over the practice (empirical Bayes; Efron & Morris 1975, doi:10.1080/01621459.1975.10479864); so a
farm's own past counts for as much as this practice shows that it deserves. Before any session speaks, every
share of the ordinary rate from none to all is as likely.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize

from pipelines.readiness.pace import Paces, PracticePace, covariance, expected, unseen
from pipelines.readiness.together import LEAST_VARIANCE, Between, Seasons, by_season

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
HYPER_SD = np.array([1.0, 1.0, 0.5, 0.5])  # doubt of the first guess of `_Spread.at`: a few farms' worth
BOUNDS = [(-3.5, 0.5), (-3.5, 0.5), (-2.0, 2.0), (-3.0, 3.0)]  # of the same: sd from 0.03 to 1.6
MISSED = 0.05  # scores of the gain that bell curves miss where as much was forgone by holding as was gained


@dataclass(frozen=True, slots=True)
class _Spread:
    """How farms' seasons lie about the practice: `farm` effects, shape (1, 2, 2), and `season` effects."""

    farm: Floats
    season: Floats

    @staticmethod
    def at(point: Floats) -> _Spread:
        """From log standard deviations of both parts, atanh of their correlation, logit of what lasts."""
        whole = covariance(np.exp(point[None, :2]), np.tanh(point[2:3]))
        lasting = 1 / (1 + np.exp(-point[3]))
        return _Spread(lasting * whole, (1 - lasting) * whole)


def practice(seen: Between, offset_sd: float) -> PracticePace:
    """What intervals of unwritten grazing, of all farms of a practice, teach of it.

    `seen.observed` is the gain in scores and `multiples`, shape (n_intervals, 2), what the ordinary rate
    would have brought in each part of the season, also below. `offset_sd` as in `learning`.
    """
    before = unseen()
    if len(seen.farm) == 0:
        return before
    seasons = by_season(_with_missed(seen), offset_sd)
    first = np.array([*np.log(before.sd), np.arctanh(before.alike), 0.0])

    def cost(point: Floats) -> float:
        away = (point - first) / HYPER_SD
        return float(away @ away) / 2 - _log_chance(seasons, _Spread.at(point))

    # not L-BFGS-B: for a few numbers it wakes a thread on every processor, and they wait for one another
    found = minimize(cost, first, method="SLSQP", bounds=BOUNDS, tol=1e-6).x
    precision, pull, _ = _on_practice(seasons, _Spread.at(found))
    # no farm is to teach itself twice: on average this part of it is the other farms'
    others = 1 - 1 / len(np.unique(seasons.farm))
    doubt = np.linalg.inv(others * precision + _before())
    mean = np.array(before.mean) + doubt @ (others * pull)
    taught = 1 - np.diag(doubt @ _before())
    mean_sd = np.sqrt(np.diag(doubt) + (taught * _missed_by_all(seen)) ** 2)
    sd, lasting = np.exp(found[:2]), 1 / (1 + np.exp(-found[3]))
    return PracticePace(_pair(mean), _pair(mean_sd), _pair(sd), float(np.tanh(found[2])), float(lasting))


def _missed(seen: Between) -> Floats:
    """Doubt of each gain, in scores, from the shape of a flock of which many are held.

    The mean then shows but a part a of a gain (`per_offset` is 1/a): the doubt is `MISSED` (1 − a)/a.
    """
    return MISSED * np.maximum(seen.per_offset - 1.0, 0.0)


def _with_missed(seen: Between) -> Between:
    return replace(seen, sd=np.sqrt(seen.sd**2 + _missed(seen) ** 2))


def _missed_by_all(seen: Between) -> Floats:
    """The same of the practice's pace in each part, since all its intervals may miss as much: shape (2,)."""
    squares = np.maximum((seen.multiples**2).sum(axis=0), LEAST_VARIANCE)
    return np.asarray((_missed(seen)[:, None] * seen.multiples).sum(axis=0) / squares)


def _pair(values: Floats) -> tuple[float, float]:
    return float(values[0]), float(values[1])


def _before() -> Floats:
    """Precision of a practice's mean before it has shown anything: shape (2, 2)."""
    return np.asarray(np.diag(1 / np.square(unseen().mean_sd)))


def _log_chance(seasons: Seasons, spread: _Spread) -> float:
    """Log likelihood of all that was seen, the practice's mean and the effects integrated out."""
    precision, pull, log = _on_practice(seasons, spread)
    total = precision + _before()
    log += 0.5 * float(pull @ np.linalg.solve(total, pull))
    return log - 0.5 * float(np.log(np.linalg.det(total)))


def _on_practice(seasons: Seasons, spread: _Spread) -> tuple[Floats, Floats, float]:
    """Precision (2, 2) and pull (2,) of all farms on the practice's mean, counted from that of `unseen`, and
    the log likelihood at it."""
    start = np.flatnonzero(np.diff(seasons.farm, prepend=-1))
    about = _about(seasons, np.array([unseen().mean]))
    precision, pull, by_seasons = _widened(seasons.precision, about, spread.season)
    precision, pull = np.add.reduceat(precision, start), np.add.reduceat(pull, start)
    precision, pull, by_farms = _widened(precision, pull, spread.farm)
    return precision.sum(axis=0), pull.sum(axis=0), float(by_seasons.sum() + by_farms.sum())


def _about(seasons: Seasons, mean: Floats) -> Floats:
    """The pull on paces counted from `mean`."""
    return np.asarray(seasons.pull - _times(seasons.precision, mean))


def _widened(precision: Floats, pull: Floats, spread: Floats) -> tuple[Floats, Floats, Floats]:
    """Precision and pull on the mean about which paces have this `spread`, and the log likelihood at it."""
    turned = np.eye(2) + _product(precision, spread)
    size = turned[:, 0, 0] * turned[:, 1, 1] - turned[:, 0, 1] * turned[:, 1, 0]
    # written out, as a solver for each of thousands of two by two takes ten times as long
    back = np.empty_like(turned)
    back[:, 0, 0], back[:, 1, 1] = turned[:, 1, 1] / size, turned[:, 0, 0] / size
    back[:, 0, 1], back[:, 1, 0] = -turned[:, 0, 1] / size, -turned[:, 1, 0] / size
    less = _times(back, pull)
    moved = _times(spread, less)
    log = 0.5 * (pull[:, 0] * moved[:, 0] + pull[:, 1] * moved[:, 1] - np.log(size))
    return _product(back, precision), less, log


def _product(first: Floats, second: Floats) -> Floats:
    """Products of two by two matrices, shape (n, 2, 2)."""
    return np.stack([_times(first, second[:, :, column]) for column in (0, 1)], axis=2)


def _times(matrices: Floats, vectors: Floats) -> Floats:
    return matrices[:, :, 0] * vectors[:, :1] + matrices[:, :, 1] * vectors[:, 1:]


def learn(
    seen: Between, season: Ints, session: Ints, offset_sd: float, known: Sequence[PracticePace]
) -> Paces:
    """The pace of each farm and season asked for, shape (n_asked,).

    `seen.farm` is 0 … n_asked − 1: for which of those asked each interval may be used; leave out what lies
    in the future. `session` numbers the one that each projection starts from, as in `Between`; `known` is
    what is known of the practice at each.
    """
    seasons = by_season(_with_missed(seen), offset_sd)
    mean, farm, within = expected(known)
    pull = _about(seasons, mean[seasons.farm])
    own = seasons.season == season[seasons.farm]
    past, here, size = seasons.farm[~own], seasons.farm[own], len(mean)
    precision, pulled, _ = _widened(seasons.precision[~own], pull[~own], within[past])
    farm = _inverse(_inverse(farm) + _placed(precision, past, size))
    # this season lies about the farm as all its seasons do, until its own intervals speak
    before = _inverse(farm + within)
    about = _times(before, _times(farm, _placed(pulled, past, size)))
    found = _inverse(before + _placed(seasons.precision[own], here, size))
    paces = mean + _times(found, about + _placed(pull[own], here, size))
    last = own & (seasons.last == session[seasons.farm])
    offset, fall, left = (
        _placed(each[last], seasons.farm[last], size)
        for each in (seasons.offset, seasons.fall, seasons.offset_sd)
    )
    ends = _placed(last[last], seasons.farm[last], size) > 0
    return Paces(paces, found, offset, fall, np.where(ends, left, offset_sd))


def _inverse(matrices: Floats) -> Floats:
    return np.asarray(np.linalg.inv(matrices), dtype=float)


def _placed(values: Floats, place: Ints, size: int) -> Floats:
    """Summed into `size` rows, each at its place."""
    found = np.zeros((size, *values.shape[1:]))
    np.add.at(found, place, values)
    return found
