"""What each farm's own sessions say about its rate of gain, combined with the published range.

Rates are put on one scale for all grazing classes: standard units, the observed rate's distance from the
published median in published standard deviations. A farm-season's true rate is then

    farm effect + season effect,   farm ~ N(0, v_farm),   season ~ N(0, v_season),

and each interval between two sessions observes it with a known error. The two variances are estimated over
the whole practice (empirical Bayes; Efron & Morris 1975, doi:10.1080/01621459.1975.10479864), so a farm's
own figure counts for as much as this practice shows that it deserves.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import minimize
from scipy.special import ndtri

from pipelines.readiness.gain import Z95, Rates

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
PUBLISHED_VARIANCE = 0.5  # of each of the two effects: together the published range, 1 in standard units
HYPER_SD = 1.0  # of log variance about that: a few farms' worth of evidence


@dataclass(frozen=True, slots=True)
class Observed:
    """Rates observed over intervals between sessions, in scores per day: shape (n_intervals,)."""

    rate: Floats
    sd: Floats


@dataclass(frozen=True, slots=True)
class Learned:
    """Prior, data and result for each farm-season asked for, in standard units: shape (n_asked,).

    The prior is 0 ± 1. `data_sd` is infinite, and `data_mean` 0, where the farm has no interval at all;
    there the result is the prior. `intervals` counts the farm's intervals of all seasons that were used,
    `this_season` those of the season asked for. `v_farm` and `v_season` are the practice's.
    """

    data_mean: Floats
    data_sd: Floats
    mean: Floats
    sd: Floats
    intervals: Ints
    this_season: Ints
    v_farm: float
    v_season: float


def paired(interval: Ints, change: Floats, days: Floats, offset_sd: float) -> Observed:
    """Rates from ewes identified in both sessions, so that ewes sold or moved do not matter.

    Parameters
    ----------
    interval : 0 … n_intervals − 1 of each pair, every interval with at least two pairs; shape (n_pairs,).
    change : later less earlier score of the same ewe; shape (n_pairs,).
    days : length of each interval, above zero; shape (n_intervals,).
    offset_sd : offset of a whole session, in scores; both sessions carry one.
    """
    number = np.bincount(interval, minlength=len(days))
    if np.any(number < 2):
        raise ValueError("an interval needs at least two ewes scored in both sessions")
    mean = np.bincount(interval, change, len(days)) / number
    squares = np.bincount(interval, (change - mean[interval]) ** 2, len(days))
    variance = squares / (number - 1) / number + 2 * offset_sd**2
    return _per_day(mean, variance, days)


def by_means(
    mean: tuple[Floats, Floats],
    sd: tuple[Floats, Floats],
    ewes: tuple[Floats, Floats],
    days: Floats,
    offset_sd: float,
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
    variance = sd[0] ** 2 / ewes[0] + sd[1] ** 2 / ewes[1] + 2 * offset_sd**2 + selection**2
    return _per_day(mean[1] - mean[0], variance, days)


def _per_day(change: Floats, variance: Floats, days: Floats) -> Observed:
    if np.any(days <= 0):
        raise ValueError("the later session must be on a later day")
    return Observed(change / days, np.sqrt(variance) / days)


def standard_units(observed: Observed, published: Rates) -> tuple[Floats, Floats]:
    """Observed rates and their errors as distances from the published median, in published spreads."""
    unit = (published.high - published.low) / (2 * Z95)
    return (observed.rate - published.median) / unit, observed.sd / unit


def learn(
    farm: Ints, season: Ints, units: Floats, sd: Floats, asked_farm: Ints, asked_season: Ints
) -> Learned:
    """The rate of each farm-season asked for, from intervals of any farms and seasons.

    `farm`, `season`, `units` and `sd` (see `standard_units`) have shape (n_intervals,) and hold whatever may
    be used: leave out what lies in the future. Sessions share their offset with the interval before and
    after; taking intervals as independent then slightly overstates the error of their mean.
    """
    seasons = _by_season(farm, season, units, sd)
    v_farm, v_season = _variances(seasons)
    number = np.bincount(farm, minlength=int(max(farm.max(initial=0), asked_farm.max(initial=0))) + 1)
    weight = 1 / (v_season + seasons.sd**2)
    precision = np.bincount(seasons.farm, weight, len(number))
    weighted = np.bincount(seasons.farm, weight * seasons.mean, len(number))
    farm_variance = 1 / (1 / v_farm + precision)
    y, y_sd, here = seasons.find(asked_farm, asked_season)
    kept = v_season / (v_season + y_sd**2)
    mean = (1 - kept) * (farm_variance * weighted)[asked_farm] + kept * y
    variance = (1 - kept) ** 2 * farm_variance[asked_farm] + (1 - kept) * v_season
    none = number[asked_farm] == 0
    total = precision[asked_farm]
    return Learned(
        data_mean=np.divide(weighted[asked_farm], total, out=np.zeros(len(total)), where=total > 0),
        data_sd=np.sqrt(np.divide(1.0, total, out=np.full(len(total), np.inf), where=total > 0)),
        mean=np.where(none, 0.0, mean),
        sd=np.where(none, 1.0, np.sqrt(variance)),
        intervals=number[asked_farm],
        this_season=here,
        v_farm=v_farm,
        v_season=v_season,
    )


def learned_rates(published: Rates, mean: Floats, sd: Floats) -> Rates:
    """Published rates moved and narrowed to what was learned, in standard units: shape (n_groups,).

    With 0 and 1 the published rates come back unchanged.
    """
    quantiles = published.at(mean[:, None] + sd[:, None] * np.array([-Z95, 0.0, Z95]))
    return Rates(quantiles[:, 1], quantiles[:, 0], quantiles[:, 2], published.cap, published.ewe_sd)


@dataclass(frozen=True, slots=True)
class _Seasons:
    """Precision-weighted mean of each farm-season's intervals, its error and their number."""

    farm: Ints
    season: Ints
    mean: Floats
    sd: Floats
    intervals: Ints

    def find(self, farm: Ints, season: Ints) -> tuple[Floats, Floats, Ints]:
        """Mean, error (infinite: none) and number of intervals of the farm-seasons asked for."""
        place = {key: i for i, key in enumerate(zip(self.farm.tolist(), self.season.tolist(), strict=True))}
        at = np.array([place.get(key, -1) for key in zip(farm.tolist(), season.tolist(), strict=True)], int)
        return (
            np.append(self.mean, 0.0)[at],
            np.append(self.sd, np.inf)[at],
            np.append(self.intervals, 0)[at],
        )


def _by_season(farm: Ints, season: Ints, units: Floats, sd: Floats) -> _Seasons:
    pairs = np.stack([farm, season], axis=1).reshape(-1, 2)
    keys, place = np.unique(pairs, axis=0, return_inverse=True)
    precision = np.bincount(place, 1 / sd**2, len(keys))
    mean = np.bincount(place, units / sd**2, len(keys)) / precision
    return _Seasons(
        keys[:, 0], keys[:, 1], mean, 1 / np.sqrt(precision), np.bincount(place, minlength=len(keys))
    )


def _variances(seasons: _Seasons) -> tuple[float, float]:
    """Farm and season variances that make the practice's intervals likeliest, drawn to the published."""
    published = np.full(2, np.log(PUBLISHED_VARIANCE))
    if len(seasons.farm) == 0:
        return PUBLISHED_VARIANCE, PUBLISHED_VARIANCE

    def cost(logs: Floats) -> float:
        v_farm, v_season = np.exp(logs)
        away = (logs - published) / HYPER_SD
        return _deviance(seasons, v_farm, v_season) / 2 + float(away @ away) / 2

    found = minimize(cost, published, method="L-BFGS-B", bounds=[(-7, 4), (-7, 4)])
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
