"""What a projection needs to know: the score cells of many groups, and each group's time, band and rate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.readiness.condition import Offset, published_errors
from pipelines.readiness.gain import Rates
from pipelines.readiness.holding import GoingOn

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Cells:
    """Histogram rows, sorted by group: shape (n_cells,). Every group 0 … n_groups − 1 has ewes."""

    group: Ints
    score: Floats
    ewes: Floats


@dataclass(frozen=True, slots=True)
class Groups:
    """What is known of each group: shape (n_groups,).

    `days` from scoring to `ready_by` on the grazing of `rates`; `later_days` (after those) on the grazing
    of `later_rates`, if it changes. `low` and `high` are the edges of the band, `step` the step the group
    was scored in, `flock` the ewes in the whole group (NaN: unknown, the answer is about those scored).
    `gaining_since` is the days before scoring for which the ewes had been on the gain (since weaning): those
    that had done better than their group are likely to go on so. None: taken for 0, nothing is concluded.
    `scorer_sd` and `offset_sd` are in scores (see `condition`); None takes those of published agreement.
    `offset` is what earlier sessions taught about the offset of this one (see `learning`); None: nothing.
    `going_on` is the share of ewes come right that gain on and may go over (see `holding`), one for all
    groups of a farm; None: all of them do.
    """

    days: Floats
    low: Floats
    high: Floats
    step: Floats
    flock: Floats
    rates: Rates
    later_days: Floats | None = None
    later_rates: Rates | None = None
    gaining_since: Floats | None = None
    scorer_sd: float | None = None
    offset_sd: float | None = None
    offset: Offset | None = None
    going_on: GoingOn | None = None

    def edges(self) -> tuple[Floats, Floats]:
        """Condition between which the nearest score on the step in use lies inside the band."""
        return edges(self.low, self.high, self.step)

    def gains(self) -> NDArray[np.bool_]:
        """Whether the usual rate is a gain: who loses, or stays, is not held from it."""
        usual = self.days * self.rates.median
        if self.later_days is not None and self.later_rates is not None:
            usual = usual + self.later_days * self.later_rates.median
        return usual > 0

    def errors(self) -> tuple[float, float]:
        """The scorer's error for one ewe and for a whole session, in scores."""
        ewe, session = published_errors()
        return (
            ewe if self.scorer_sd is None else self.scorer_sd,
            session if self.offset_sd is None else self.offset_sd,
        )


def edges(low: Floats, high: Floats, step: Floats) -> tuple[Floats, Floats]:
    """Condition between which the nearest score on a step lies in the band from `low` to `high`."""
    lowest = np.ceil(low / step - 1e-9) * step
    highest = np.floor(high / step + 1e-9) * step
    return lowest - step / 2, np.maximum(highest, lowest - step) + step / 2
