"""What sessions show of gain: changes between two as rows of `growth_interval`, and these as arrays."""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipelines.models.digits import DIGITS
from pipelines.models.holding import banded, changes
from pipelines.models.pace import days_in_parts
from pipelines.readiness.condition import published_errors
from pipelines.readiness.gain import Rates, published
from pipelines.readiness.holding import Changes
from pipelines.readiness.learning import Observed, by_means, by_pairs
from pipelines.readiness.pace import PracticePace, of_practice
from pipelines.settings import Settings

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
FEWEST_PAIRS = 5  # ewes identified in both sessions; with fewer the means of the group say more
EPOCH = pd.Timestamp(0)


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
    early = days_in_parts(rows, np.zeros(len(rows)), rows["days"].to_numpy(float))[:, 0]
    return banded(rows, error).assign(together=together, early_days=early)


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
class Seen:
    """Rows of `growth_interval` as arrays: shape (n_intervals,); `parts`, days early and late, (…, 2).

    `rates` are the published ones, of ordinary grazing where none was `stated`.
    """

    season: Ints
    start: Ints
    end: Ints
    stated: NDArray[np.bool_]
    changes: Changes
    rates: Rates
    parts: Floats

    def take(self, chosen: NDArray[np.bool_]) -> Seen:
        """Some of the intervals."""
        parts = (
            getattr(self, field.name) for field in fields(self) if field.name not in ("changes", "rates")
        )
        season, start, end, stated, days = (part[chosen] for part in parts)
        rates = self.rates.take(np.flatnonzero(chosen))
        return Seen(season, start, end, stated, self.changes.take(chosen), rates, days)

    def expected(self, known: list[PracticePace], which: Ints, ordinary: float) -> Rates:
        """What is expected of each: where nothing was stated, `which` of the practices `known` is asked."""
        return self.rates.otherwise(self.stated, of_practice(known, which, self.parts, ordinary))


def arrays(rows: pd.DataFrame, settings: Settings) -> Seen:
    """Rows of `growth_interval` as arrays."""
    days, early = (rows[name].to_numpy(float) for name in ("days", "early_days"))
    return Seen(
        rows["season"].to_numpy(np.intp),
        numbers(rows["scored_on"]),
        numbers(rows["next_on"]),
        rows["stated"].to_numpy(bool),
        changes(rows),
        published(rows["grazing"].tolist(), settings.gain),
        np.stack([early, days - early], axis=1),
    )


def numbers(days: pd.Series[Any]) -> Ints:
    """Days as numbers."""
    return np.asarray((pd.to_datetime(days) - EPOCH) // pd.Timedelta(days=1), dtype=np.intp)
