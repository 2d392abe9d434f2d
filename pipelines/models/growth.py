"""How fast each farm's ewes gain: what its sessions show, put together with the published range.

All numbers come from `pipelines.readiness.learning`; here frames become arrays and back.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipelines.readiness.condition import published_errors
from pipelines.readiness.gain import Z95, days_per_score, published
from pipelines.readiness.learning import (
    Intervals,
    Observed,
    by_means,
    by_pairs,
    intervals,
    learn,
    learned_rates,
    practice_variances,
)
from pipelines.settings import Grazing, Settings

GAINING: tuple[Grazing, ...] = ("best", "ordinary")
UNSAID = "not stated"
FEWEST_PAIRS = 5  # ewes identified in both sessions; with fewer the means of the group say more
NOW = 9999  # a season that all others came before
MONTH = 30
EPOCH = pd.Timestamp(0)
DIGITS = 9  # see models.ready
STEP = np.log(1.2)  # of a variance; see `settled`
OFFSETS = ("offset_mean", "offset_slope", "offset_sd")


def observed(changes: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Rows of `staging/growth_change.sql` as rates of gain (scores a day) with the error from the ewes.

    A change is two readings, so the error is never taken for smaller than that of its scorer.
    """
    days = (changes["next_on"] - changes["scored_on"]).dt.days
    changes = changes.assign(days=days.astype(float))
    by_ewe = changes["pairs"] >= FEWEST_PAIRS
    grouped = ~by_ewe & (changes[["ewes_before", "ewes_after"]].min(axis=1) >= FEWEST_PAIRS)
    error = settings.scorer_sd or published_errors()[0]
    parts = [_by_ewe(changes[by_ewe], error), _by_group(changes[grouped])]
    return pd.concat(parts).sort_values(["farm", "season", "scored_on", "group"], ignore_index=True)


def _by_ewe(rows: pd.DataFrame, error: float) -> pd.DataFrame:
    pairs = rows["pairs"].to_numpy(float)
    change = rows["change"].to_numpy(float) / pairs
    variance = (rows["squares"].to_numpy(float) - pairs * change**2) / (pairs - 1)
    sd = np.sqrt(np.maximum(variance, 2 * error**2))
    found = by_pairs(change, sd, pairs, rows["days"].to_numpy(float))
    return _with_rates(rows, found).assign(ewes=rows["pairs"], observed_by="ewe by ewe")


def _by_group(rows: pd.DataFrame) -> pd.DataFrame:
    named = [(rows[f"{name}_before"].to_numpy(float), rows[f"{name}_after"].to_numpy(float))
             for name in ("mean", "sd", "ewes")]  # fmt: skip
    found = by_means(named[0], named[1], named[2], rows["days"].to_numpy(float))
    fewest = rows[["ewes_before", "ewes_after"]].min(axis=1)
    return _with_rates(rows, found).assign(ewes=fewest, observed_by="group means")


def _with_rates(rows: pd.DataFrame, found: Observed) -> pd.DataFrame:
    return rows.assign(rate=found.rate.round(DIGITS), rate_sd=found.sd.round(DIGITS))


@dataclass(frozen=True, slots=True)
class Variances:
    """How much farms and their seasons differ: on grazing that was named, and on whatever may be gain."""

    named: tuple[float, float]
    all: tuple[float, float]


def settled(seen: pd.DataFrame, seasons: Collection[int], settings: Settings) -> dict[int, Variances]:
    """The practice's variances as they were known before each season; before `NOW`, as they are known now.

    `seen` holds rows of `growth_interval`. The answer is on a scale of coarse steps, as nothing finer is
    known: so one more file seldom moves it, and while it stays, the figures of all other farms stay too.
    """
    asked = tuple(sorted(int(season) for season in seasons))
    pairs = zip(_settled(seen[seen["stated"]], asked, settings), _settled(seen, asked, settings), strict=True)
    return {season: Variances(*pair) for season, pair in zip(asked, pairs, strict=True)}


def _settled(seen: pd.DataFrame, seasons: tuple[int, ...], settings: Settings) -> list[tuple[float, float]]:
    farm = seen.groupby("farm", sort=True).ngroup()
    found = practice_variances(_intervals(seen, farm, settings), seasons, published_errors()[1])
    return [(_coarse(v_farm), _coarse(v_season)) for v_farm, v_season in found]


def _coarse(variance: float) -> float:
    return float(np.exp(np.round(np.log(variance) / STEP) * STEP))


def learned(
    sessions: pd.DataFrame, seen: pd.DataFrame, variances: Sequence[Variances], settings: Settings
) -> pd.DataFrame:
    """The rate of each farm and season, from the farm's own intervals up to the session projected from.

    `sessions` has one row per `farm`, `season` and `scored_on`; `seen` rows of `growth_interval`; `variances`
    is what was known of the practice at each session. Two rows for each: `stated` 1 from grazing that was
    named, for groups on such grazing, and 0 from all, for groups of which nothing was said. Adds prior, data
    and result in standard units (see `learning`), the intervals they rest on, and what they say of the
    session's offset.
    """
    named = _learned(sessions, seen[seen["stated"]], [each.named for each in variances], settings)
    everything = _learned(sessions, seen, [each.all for each in variances], settings)
    return pd.concat([named.assign(stated=1), everything.assign(stated=0)], ignore_index=True)


def _learned(
    sessions: pd.DataFrame, seen: pd.DataFrame, variances: list[tuple[float, float]], settings: Settings
) -> pd.DataFrame:
    asked = sessions[["farm", "season", "scored_on"]].reset_index(drop=True)
    used = asked.assign(number=asked.index).merge(seen, on="farm", suffixes=("_asked", ""))
    used = used[used["next_on"] <= used["scored_on_asked"]]
    v_farm, v_season = np.array(variances, float).reshape(-1, 2).T
    # every session asked for is a farm of its own here, so that each sees what had happened by then
    found = learn(
        _intervals(used, used["number"], settings),
        asked.index.to_numpy(np.intp),
        asked["season"].to_numpy(np.intp),
        _numbers(asked["scored_on"]),
        published_errors()[1],
        (v_farm, v_season),
    )
    return asked.assign(
        units_mean=found.mean.round(DIGITS),
        units_sd=found.sd.round(DIGITS),
        data_mean=found.data_mean,
        data_sd=found.data_sd,
        intervals=found.intervals,
        intervals_this_season=found.this_season,
        **{name: getattr(found.offset, name.removeprefix("offset_")).round(DIGITS) for name in OFFSETS},
    )


def _intervals(rows: pd.DataFrame, farm: pd.Series[Any], settings: Settings) -> Intervals:
    rates = published(rows["grazing"].tolist(), settings.gain)
    columns = (rows[name].to_numpy(float) for name in ("rate", "rate_sd", "days"))
    return intervals(
        farm.to_numpy(np.intp),
        rows["season"].to_numpy(np.intp),
        _numbers(rows["scored_on"]),
        _numbers(rows["next_on"]),
        Observed(*columns),
        rates,
    )


def _numbers(days: pd.Series[Any]) -> NDArray[np.intp]:
    return np.asarray((pd.to_datetime(days) - EPOCH) // pd.Timedelta(days=1), dtype=np.intp)


def growth_figures(found: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Rows of `farm_growth`: for each farm and season of `learned`, one per class of grazing."""
    stated, unsaid = found[found["stated"] == 1], found[found["stated"] == 0]
    rows = pd.concat(
        [*(stated.assign(grazing=grazing) for grazing in GAINING), unsaid.assign(grazing=UNSAID)]
    )
    rows = rows.sort_values(["farm", "season", "grazing"], ignore_index=True)
    prior = published(["best" if each == "best" else "ordinary" for each in rows["grazing"]], settings.gain)
    mine = learned_rates(prior, rows["units_mean"].to_numpy(float), rows["units_sd"].to_numpy(float))
    unit = (prior.high - prior.low) / (2 * Z95)
    seen = (rows["intervals"] > 0).to_numpy()
    rate = np.where(seen, prior.median + unit * rows["data_mean"].to_numpy(float), np.nan)
    doubt = np.where(seen, Z95 * unit * np.where(seen, rows["data_sd"].to_numpy(float), 0.0), np.nan)
    for name, rates in (("prior", prior), ("learned", mine)):
        parts = zip(("median", "low", "high"), days_per_score(rates), strict=True)
        rows = rows.assign(**{f"{name}_{part}": days.round(DIGITS) for part, days in parts})
    return rows.assign(
        observed_per_30_days=(MONTH * rate).round(DIGITS),
        observed_low=(MONTH * (rate - doubt)).round(DIGITS),
        observed_high=(MONTH * (rate + doubt)).round(DIGITS),
    )
