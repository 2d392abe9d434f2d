"""What sessions say of how far right ewes are held: frames become arrays for `readiness.holding`."""

from __future__ import annotations

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipelines.models.digits import DIGITS
from pipelines.readiness.groups import edges
from pipelines.readiness.holding import PARTS, Changes, GoingOn
from pipelines.settings import Settings

Ints = NDArray[np.intp]
LEAST_SPREAD = 0.1  # of condition, in scores: no group is so alike that a scorer could not tell two ewes
SEEN = ("days", "rate", "rate_sd", "start_mean", "start_sd", "start_true_sd", "right_at", "over_before",
        "over_after", "edge_before", "edge_after", "ewes", "together")  # fmt: skip
GOING_ON = tuple(f"going_on_{round(100 * part)}" for part in PARTS.tolist())


def banded(rows: pd.DataFrame, error: float) -> pd.DataFrame:
    """With the spread of condition at the start, and where the tupping band ends on the step of each session.

    Where all had the same score, what spread there is lies within the step and the scorer's error.
    """
    low, high, step, next_step = (rows[name].to_numpy(float) for name in ("low", "high", "step", "next_step"))
    reading = error**2 + step**2 / 12
    true = np.sqrt(np.maximum(rows["start_sd"].to_numpy(float) ** 2 - reading, LEAST_SPREAD**2))
    return rows.assign(
        right_at=rows["target"],
        start_mean=rows["start_mean"].round(DIGITS),
        start_sd=np.sqrt(true**2 + reading).round(DIGITS),
        start_true_sd=true.round(DIGITS),
        edge_before=edges(low, high, step)[1],
        edge_after=edges(low, high, next_step)[1],
    )


def changes(rows: pd.DataFrame) -> Changes:
    """Rows of `growth_interval` as `holding` takes them."""
    of = {name: rows[name].to_numpy(float) for name in SEEN}
    return Changes(
        days=of["days"],
        change=of["rate"] * of["days"],
        change_sd=of["rate_sd"] * of["days"],
        mean=of["start_mean"],
        sd=of["start_sd"],
        true_sd=of["start_true_sd"],
        right_at=of["right_at"],
        over=(of["over_before"], of["over_after"]),
        edge=(of["edge_before"], of["edge_after"]),
        ewes=of["ewes"],
        together=of["together"],
    )


def seasons(owner: Ints, season: Ints, said: NDArray[np.float64]) -> tuple[Ints, Ints, NDArray[np.float64]]:
    """What intervals say, (n_intervals, 5), summed over each season of an owner, these in order.

    Returns the place of each interval among them, the owner of each, and the sums, (n_seasons, 5).
    """
    span = int(season.max(initial=0)) + 1
    keys, place = np.unique(owner * span + season, return_inverse=True)
    found = np.zeros((len(keys), len(PARTS)))
    np.add.at(found, place, said)
    return place, keys // span, found


def chosen(learned: GoingOn, settings: Settings) -> GoingOn:
    """What the adviser has said of holding, else what was learned."""
    if settings.hold_when_right is None:
        return learned
    share = np.full(len(learned.mean), 0.0 if settings.hold_when_right else 1.0)
    return GoingOn(share, np.zeros(len(share)))
