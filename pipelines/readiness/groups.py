"""What a projection needs to know: the score cells of many groups, and each group's time, band and rate."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pipelines.readiness.condition import Offset, published_errors
from pipelines.readiness.gain import Rates

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
    `held` says that ewes which have come right are drawn off and held, so that none goes over by gaining.
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
    held: bool = False

    def edges(self) -> tuple[Floats, Floats]:
        """Condition between which the nearest score on the step in use lies inside the band."""
        lowest = np.ceil(self.low / self.step - 1e-9) * self.step
        highest = np.floor(self.high / self.step + 1e-9) * self.step
        return lowest - self.step / 2, np.maximum(highest, lowest - self.step) + self.step / 2

    def errors(self) -> tuple[float, float]:
        """The scorer's error for one ewe and for a whole session, in scores."""
        ewe, session = published_errors()
        return (
            ewe if self.scorer_sd is None else self.scorer_sd,
            session if self.offset_sd is None else self.offset_sd,
        )
