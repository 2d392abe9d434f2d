"""What each farm's own sessions say about its rate of gain, combined with the published range.

Rates are put on one scale for all grazing classes: standard units, the observed rate's distance from the
published median in published standard deviations. A farm-season's true rate is then

    farm effect + season effect,   farm ~ N(0, v_farm),   season ~ N(0, v_season),

and each interval between two sessions observes it with an error: that of the ewes it rests on, and the
offsets of its two sessions, which the intervals before and after share. The two variances are estimated
over the whole practice (empirical Bayes; Efron & Morris 1975, doi:10.1080/01621459.1975.10479864), so a
farm's own figure counts for as much as this practice shows that it deserves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import ndtri

from pipelines.readiness.condition import Offset
from pipelines.readiness.gain import Z95, Rates
from pipelines.readiness.together import Between, by_season

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
PUBLISHED_VARIANCE = 0.5  # of each of the two effects: together the published range, 1 in standard units
HYPER_SD = 1.0  # of log variance about that: a few farms' worth of evidence


@dataclass(frozen=True, slots=True)
class Observed:
    """Rates observed over intervals between sessions, in scores per day: shape (n_intervals,).

    `sd` is the error from the ewes alone; that of the sessions' offsets is added by `learn`, since
    intervals that begin or end in the same session share it. `days` are those in which the mean follows the
    rate: fewer than those of the calendar where ewes were held (see `holding`).
    """

    rate: Floats
    sd: Floats
    days: Floats


@dataclass(frozen=True, slots=True)
class Learned:
    """Prior, data and result for each farm-season asked for, in standard units: shape (n_asked,).

    The prior is 0 ± 1. `data_sd` is infinite, and `data_mean` 0, where the farm has no interval at all;
    there the result is the prior. `intervals` counts the farm's intervals of all seasons that were used,
    `this_season` those of the season asked for. `v_farm` and `v_season` are the variances it rests on.
    `offset` is what the intervals say about the session that the projection starts from.
    """

    data_mean: Floats
    data_sd: Floats
    mean: Floats
    sd: Floats
    intervals: Ints
    this_season: Ints
    v_farm: Floats
    v_season: Floats
    offset: Offset


def paired(interval: Ints, change: Floats, days: Floats) -> Observed:
    """Rates from ewes identified in both sessions, so that ewes sold or moved do not matter.

    Parameters
    ----------
    interval : 0 … n_intervals − 1 of each pair, every interval with at least two pairs; shape (n_pairs,).
    change : later less earlier score of the same ewe; shape (n_pairs,).
    days : length of each interval, above zero; shape (n_intervals,).
    """
    number = np.bincount(interval, minlength=len(days))
    if np.any(number < 2):
        raise ValueError("an interval needs at least two ewes scored in both sessions")
    mean = np.bincount(interval, change, len(days)) / number
    squares = np.bincount(interval, (change - mean[interval]) ** 2, len(days))
    return _per_day(mean, squares / (number - 1) / number, days)


def by_pairs(change: Floats, sd: Floats, pairs: Floats, days: Floats) -> Observed:
    """As `paired`, from the mean `change` of each interval's ewes and their standard deviation `sd`."""
    if np.any(pairs < 2):
        raise ValueError("an interval needs at least two ewes scored in both sessions")
    return _per_day(change, sd**2 / pairs, days)


def by_means(
    mean: tuple[Floats, Floats], sd: tuple[Floats, Floats], ewes: tuple[Floats, Floats], days: Floats
) -> Observed:
    """Rates from the means of a group in two sessions, (earlier, later), each of shape (n_intervals,).

    The ewes need not be the same. Where fewer were scored one time, the others may have been sold or moved
    because of their condition: if it decided entirely, the mean of those left would shift by
    sd φ(z_q)/(1 − q), q being the share missing; that shift is taken for two standard deviations of the
    extra error.
    """
    missing = 1 - np.minimum(*ewes) / np.maximum(*ewes)
    edge = ndtri(np.clip(missing, 1e-12, 1 - 1e-12))
    shift = np.exp(-0.5 * edge**2) / np.sqrt(2 * np.pi) / np.maximum(1 - missing, 1e-12)
    selection = 0.5 * np.maximum(*sd) * np.where(missing > 0, shift, 0)
    variance = sd[0] ** 2 / ewes[0] + sd[1] ** 2 / ewes[1] + selection**2
    return _per_day(mean[1] - mean[0], variance, days)


def _per_day(change: Floats, variance: Floats, days: Floats) -> Observed:
    if np.any(days <= 0):
        raise ValueError("the later session must be on a later day")
    return Observed(change / days, np.sqrt(variance) / days, days)


def intervals(
    farm: Ints, season: Ints, start: Ints, end: Ints, observed: Observed, published: Rates
) -> Between:
    """Observed rates as distances from the published median, in published spreads."""
    unit = (published.high - published.low) / (2 * Z95)
    units = (observed.rate - published.median) / unit
    per_offset, one = 1 / (observed.days * unit), np.ones((len(units), 1))
    return Between(farm, season, start, end, units, observed.sd / unit, per_offset, one)


def practice_variances(seen: Between, offset_sd: float) -> tuple[float, float]:
    """How much farms, and seasons of a farm, differ in this practice: variances in standard units."""
    return _variances(_by_season(seen, offset_sd))


def learn(
    seen: Between,
    asked_farm: Ints,
    asked_season: Ints,
    asked_session: Ints,
    offset_sd: float,
    variances: tuple[float | Floats, float | Floats] | None = None,
) -> Learned:
    """The rate of each farm-season asked for, from intervals of any farms and seasons.

    `seen` holds whatever may be used: leave out what lies in the future. `asked_session` numbers the
    session that each projection starts from, as in `Between`; `offset_sd` is the offset of a whole
    session, in scores (see `condition.published_errors`). `variances` are those of `practice_variances`,
    for all or for each farm, shape (n_farms,); None: estimated from `seen`.
    """
    farm = seen.farm
    seasons = _by_season(seen, offset_sd)
    number = np.bincount(farm, minlength=int(max(farm.max(initial=-1), asked_farm.max(initial=-1))) + 1)
    v_farm, v_season = (np.broadcast_to(each, number.shape) for each in variances or _variances(seasons))
    weight = 1 / (v_season[seasons.farm] + seasons.sd**2)
    precision = np.bincount(seasons.farm, weight, len(number))
    weighted = np.bincount(seasons.farm, weight * seasons.mean, len(number))
    farm_variance = 1 / (1 / v_farm + precision)
    own = seasons.take(asked_farm, asked_season)
    v_farm, v_season = v_farm[asked_farm], v_season[asked_farm]
    kept = v_season / (v_season + own.sd**2)
    mean = (1 - kept) * (farm_variance * weighted)[asked_farm] + kept * own.mean
    variance = (1 - kept) ** 2 * farm_variance[asked_farm] + (1 - kept) * v_season
    none = number[asked_farm] == 0
    mean, sd = np.where(none, 0.0, mean), np.where(none, 1.0, np.sqrt(variance))
    total = precision[asked_farm]
    return Learned(
        data_mean=np.divide(weighted[asked_farm], total, out=np.zeros(len(total)), where=total > 0),
        data_sd=np.sqrt(np.divide(1.0, total, out=np.full(len(total), np.inf), where=total > 0)),
        mean=mean,
        sd=sd,
        intervals=number[asked_farm],
        this_season=own.intervals,
        v_farm=v_farm,
        v_season=v_season,
        offset=_offset(own, asked_session, mean, sd, offset_sd),
    )


def _offset(own: _Seasons, session: Ints, mean: Floats, sd: Floats, offset_sd: float) -> Offset:
    """Offset of the session asked for, given the rate; nothing is known where no interval ends in it."""
    known = own.last == session
    return Offset(
        mean=np.where(known, own.offset_at_zero - own.offset_fall * mean, 0.0),
        slope=np.where(known, -own.offset_fall * sd, 0.0),
        sd=np.where(known, own.offset_sd, offset_sd),
    )


def learned_rates(published: Rates, mean: Floats, sd: Floats) -> Rates:
    """Published rates moved and narrowed to what was learned, in standard units: shape (n_groups,).

    With 0 and 1 the published rates come back unchanged.
    """
    quantiles = published.at(mean[:, None] + sd[:, None] * np.array([-Z95, 0.0, Z95]))
    return Rates(quantiles[:, 1], quantiles[:, 0], quantiles[:, 2], published.cap, published.ewe_sd)


@dataclass(frozen=True, slots=True)
class _Seasons:
    """Each farm-season's intervals in one figure: mean, its error, and their number.

    The offset of its `last` session is `offset_at_zero − offset_fall × rate`, give or take `offset_sd`.
    """

    farm: Ints
    season: Ints
    mean: Floats
    sd: Floats
    intervals: Ints
    last: Ints
    offset_at_zero: Floats
    offset_fall: Floats
    offset_sd: Floats

    def take(self, farm: Ints, season: Ints) -> _Seasons:
        """The farm-seasons asked for; one without intervals has an infinite error and no last session."""
        place = {key: i for i, key in enumerate(zip(self.farm.tolist(), self.season.tolist(), strict=True))}
        at = np.array([place.get(key, -1) for key in zip(farm.tolist(), season.tolist(), strict=True)], int)
        absent = {"sd": np.inf, "last": -1}
        names = ("mean", "sd", "intervals", "last", "offset_at_zero", "offset_fall", "offset_sd")
        return _Seasons(
            farm, season, *(np.append(getattr(self, name), absent.get(name, 0))[at] for name in names)
        )


def _by_season(seen: Between, offset_sd: float) -> _Seasons:
    found = by_season(seen, offset_sd)
    total = found.precision[:, 0, 0]
    return _Seasons(
        found.farm, found.season, found.pull[:, 0] / total, total**-0.5, found.intervals, found.last,
        found.offset, found.fall[:, 0], found.offset_sd,
    )  # fmt: skip


def _variances(seasons: _Seasons) -> tuple[float, float]:
    """Farm and season variances that make the practice's intervals likeliest, drawn to the published."""
    published = np.full(2, np.log(PUBLISHED_VARIANCE))
    if len(seasons.farm) == 0:
        return PUBLISHED_VARIANCE, PUBLISHED_VARIANCE

    def cost(logs: Floats) -> float:
        v_farm, v_season = np.exp(logs)
        away = (logs - published) / HYPER_SD
        return _deviance(seasons, v_farm, v_season) / 2 + float(away @ away) / 2

    # not L-BFGS-B: for two numbers it wakes a thread on every processor, and they wait for one another
    found = minimize(cost, published, method="SLSQP", bounds=[(-7, 4), (-7, 4)], tol=1e-9)
    v_farm, v_season = np.exp(found.x)
    return float(v_farm), float(v_season)


def _deviance(seasons: _Seasons, v_farm: float, v_season: float) -> float:
    """−2 log likelihood of the farm-seasons, the farm effects integrated out."""
    variance = v_season + seasons.sd**2
    precision = np.bincount(seasons.farm, 1 / variance)
    weighted = np.bincount(seasons.farm, seasons.mean / variance)
    own = np.log(variance) + seasons.mean**2 / variance
    return float(
        own.sum() + (np.log1p(v_farm * precision) - weighted**2 * v_farm / (1 + v_farm * precision)).sum()
    )
