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

from pipelines.models.digits import DIGITS
from pipelines.models.holding import TOLD, banded, changes, chosen, seasons, told
from pipelines.readiness.condition import published_errors
from pipelines.readiness.gain import Z95, Rates, days_per_score, published
from pipelines.readiness.holding import PARTS, Changes, GoingOn, Habits, going_on, habits, unheld
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

Ints = NDArray[np.intp]
GAINING: tuple[Grazing, ...] = ("best", "ordinary")
UNSAID = "not stated"
FEWEST_PAIRS = 5  # ewes identified in both sessions; with fewer the means of the group say more
NOW = 9999  # a season that all others came before
MONTH = 30
EPOCH = pd.Timestamp(0)
STEP = np.log(1.2)  # of a variance; see `settled`
OFFSETS = ("offset_mean", "offset_slope", "offset_sd")


def observed(changes: pd.DataFrame, settings: Settings) -> pd.DataFrame:
    """Rows of `staging/growth_change.sql` as rates of gain (scores a day) with the error from the ewes.

    A change is two readings, so the error is never taken for smaller than that of its scorer. `together`
    counts the groups that share both sessions.
    """
    days = (changes["next_on"] - changes["scored_on"]).dt.days
    changes = changes.assign(days=days.astype(float))
    by_ewe = changes["pairs"] >= FEWEST_PAIRS
    grouped = ~by_ewe & (changes[["ewes_before", "ewes_after"]].min(axis=1) >= FEWEST_PAIRS)
    error = settings.scorer_sd or published_errors()[0]
    parts = [_by_ewe(changes[by_ewe], error), _by_group(changes[grouped])]
    rows = pd.concat(parts).sort_values(["farm", "season", "scored_on", "group"], ignore_index=True)
    together = rows.groupby(["farm", "season", "scored_on"])["group"].transform("size")
    return banded(rows, error).assign(together=together)


def _by_ewe(rows: pd.DataFrame, error: float) -> pd.DataFrame:
    pairs = rows["pairs"].to_numpy(float)
    change = rows["change"].to_numpy(float) / pairs
    variance = (rows["squares"].to_numpy(float) - pairs * change**2) / (pairs - 1)
    sd = np.sqrt(np.maximum(variance, 2 * error**2))
    found = by_pairs(change, sd, pairs, rows["days"].to_numpy(float))
    start = rows["start"].to_numpy(float) / pairs
    spread = np.sqrt(np.maximum(rows["start_squares"].to_numpy(float) - pairs * start**2, 0) / (pairs - 1))
    return _with_rates(rows, found).assign(
        ewes=rows["pairs"],
        observed_by="ewe by ewe",
        start_mean=start,
        start_sd=spread,
        over_before=rows["pairs_over_before"] / pairs,
        over_after=rows["pairs_over_after"] / pairs,
    )


def _by_group(rows: pd.DataFrame) -> pd.DataFrame:
    named = [(rows[f"{name}_before"].to_numpy(float), rows[f"{name}_after"].to_numpy(float))
             for name in ("mean", "sd", "ewes")]  # fmt: skip
    found = by_means(named[0], named[1], named[2], rows["days"].to_numpy(float))
    fewest = rows[["ewes_before", "ewes_after"]].min(axis=1)
    return _with_rates(rows, found).assign(
        ewes=fewest,
        observed_by="group means",
        start_mean=rows["mean_before"],
        start_sd=rows["sd_before"],
        over_before=rows["over_before"] / rows["ewes_before"],
        over_after=rows["over_after"] / rows["ewes_after"],
    )


def _with_rates(rows: pd.DataFrame, found: Observed) -> pd.DataFrame:
    return rows.assign(rate=found.rate.round(DIGITS), rate_sd=found.sd.round(DIGITS))


@dataclass(frozen=True, slots=True)
class Variances:
    """How much farms and their seasons differ, on grazing that was named and on whatever may be gain; and how
    the practice's farms go about holding ewes that have come right."""

    named: tuple[float, float]
    all: tuple[float, float]
    going_on: Habits


def settled(seen: pd.DataFrame, asked: Collection[int], settings: Settings) -> dict[int, Variances]:
    """What was known of the practice before each season; before `NOW`, what is known now.

    `seen` holds rows of `growth_interval`. The answer is on a scale of coarse steps, as nothing finer is
    known: so one more file seldom moves it, and while it stays, the figures of all other farms stay too.
    """
    farm = seen.groupby("farm", sort=True).ngroup().to_numpy().astype(np.intp)
    said, all_seen = told(seen, settings).to_numpy(float), _arrays(seen, settings)
    before = {int(season): all_seen.season < season for season in sorted(asked)}
    return {season: _known(all_seen, farm, said, rows, settings) for season, rows in before.items()}


def _known(
    seen: _Seen, farm: Ints, said: NDArray[np.float64], rows: NDArray[np.bool_], settings: Settings
) -> Variances:
    """What these `rows` of what was seen teach of the practice; `said` is what each says of holding."""
    place, owner, by_season = seasons(farm[rows], seen.season[rows], said[rows])
    owner = np.unique(owner, return_inverse=True)[1]
    ways, farms = habits(by_season, owner), int(owner.max(initial=-1)) + 1
    spread, keeps = np.tile(ways.spread, (farms, 1)), np.full(farms, ways.keeps)
    share = np.ones(len(farm))
    share[rows] = chosen(going_on(by_season, owner, spread, keeps), settings).mean[place]
    found = _intervals(seen, farm, share)
    named, everything = (
        practice_variances(found.take(chosen_rows), published_errors()[1])
        for chosen_rows in (rows & seen.stated, rows)
    )
    return Variances(_coarse(named), _coarse(everything), ways)


def _coarse(variances: tuple[float, float]) -> tuple[float, float]:
    farm, season = (float(np.exp(np.round(np.log(each) / STEP) * STEP)) for each in variances)
    return farm, season


def learned(
    sessions: pd.DataFrame, seen: pd.DataFrame, variances: Sequence[Variances], settings: Settings
) -> pd.DataFrame:
    """The rate of each farm and season, from the farm's own intervals up to the session projected from.

    `sessions` has one row per `farm`, `season` and `scored_on`; `seen` rows of `growth_interval`; `variances`
    is what was known of the practice at each session. Two rows for each: `stated` 1 from grazing that was
    named, for groups on such grazing, and 0 from all, for groups of which nothing was said. Adds prior, data
    and result in standard units (see `learning`), the intervals they rest on, and what they say of the
    session's offset; and the share of right ewes that go on gaining (see `holding`), from all intervals.
    """
    asked = sessions[["farm", "season", "scored_on"]].reset_index(drop=True)
    seen = pd.concat([seen, told(seen, settings)], axis=1)
    used = asked.assign(number=asked.index).merge(seen, on="farm", suffixes=("_asked", ""))
    used = used[used["next_on"] <= used["scored_on_asked"]]
    number = used["number"].to_numpy(np.intp)
    going, shares = _going_on(asked, used, [each.going_on for each in variances], settings)
    asked = asked.assign(**going)
    seen_then = _arrays(used, settings)
    # every session asked for is a farm of its own here, so that each sees what had happened by then
    found = _intervals(seen_then, number, shares)
    named = _learned(asked, found.take(seen_then.stated), [each.named for each in variances])
    everything = _learned(asked, found, [each.all for each in variances])
    return pd.concat([named.assign(stated=1), everything.assign(stated=0)], ignore_index=True)


def _going_on(
    asked: pd.DataFrame, used: pd.DataFrame, ways: Sequence[Habits], settings: Settings
) -> tuple[dict[str, NDArray[np.float64]], NDArray[np.float64]]:
    """Columns on holding for the sessions `asked` for, and the share that went on in each interval `used`."""
    # the season asked for is there even if it has told nothing yet
    number = np.concatenate([used["number"].to_numpy(np.intp), asked.index.to_numpy(np.intp)])
    season = np.concatenate([rows["season"].to_numpy(np.intp) for rows in (used, asked)])
    said = np.concatenate([used[list(TOLD)].to_numpy(float), np.zeros((len(asked), len(PARTS)))])
    place, owner, by_season = seasons(number, season, said)
    spread = np.array([each.spread for each in ways]).reshape(-1, len(PARTS))
    keeps = np.array([each.keeps for each in ways], float)
    found = chosen(going_on(by_season, owner, spread, keeps), settings)
    own, usual = place[len(used) :], np.einsum("nk,k->n", spread, PARTS)
    columns = {
        "going_on": found.mean[own],
        "going_on_sd": found.sd[own],
        "practice_going_on": chosen(GoingOn(usual, usual), settings).mean,
    }
    return {name: column.round(DIGITS) for name, column in columns.items()}, found.mean[place[: len(used)]]


def _learned(asked: pd.DataFrame, seen: Intervals, variances: list[tuple[float, float]]) -> pd.DataFrame:
    v_farm, v_season = np.array(variances, float).reshape(-1, 2).T
    found = learn(
        seen,
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


@dataclass(frozen=True, slots=True)
class _Seen:
    """Rows of `growth_interval` as arrays: shape (n_intervals,)."""

    season: Ints
    start: Ints
    end: Ints
    stated: NDArray[np.bool_]
    changes: Changes
    rates: Rates


def _arrays(rows: pd.DataFrame, settings: Settings) -> _Seen:
    return _Seen(
        rows["season"].to_numpy(np.intp),
        _numbers(rows["scored_on"]),
        _numbers(rows["next_on"]),
        rows["stated"].to_numpy(bool),
        changes(rows),
        published(rows["grazing"].tolist(), settings.gain),
    )


def _intervals(seen: _Seen, farm: Ints, share: NDArray[np.float64]) -> Intervals:
    """Rates of the ewes not held, where on each farm this share of those that are right goes on."""
    found = unheld(seen.changes, seen.rates, share)
    return intervals(farm, seen.season, seen.start, seen.end, found, seen.rates)


def _numbers(days: pd.Series[Any]) -> Ints:
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
