"""Days and dates, ewe by ewe: how long she needs, and until when help is of use."""

from __future__ import annotations

from datetime import date, timedelta
from math import ceil, isfinite

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]


def days_needed(score: ArrayLike, low: ArrayLike, days_per_score: ArrayLike = 52.0) -> Floats:
    """Days on grazing with `days_per_score` (best: median 52) until `score` reaches `low`; 0 when there."""
    short = np.maximum(np.asarray(low, dtype=float) - np.asarray(score, dtype=float), 0)
    needed: Floats = short * np.where(short > 0, days_per_score, 0.0)
    return needed


def weighted_median(values: ArrayLike, ewes: ArrayLike) -> float | None:
    """Median over ewes of `values` given per cell; None when there are no ewes."""
    values, ewes = np.asarray(values, dtype=float), np.asarray(ewes, dtype=np.intp)
    if ewes.sum() == 0:
        return None
    return float(np.median(np.repeat(values, ewes)))


def last_useful_date(score: float, low: float, ready_by: date, days_per_score: float = 52.0) -> date:
    """Last day on which a ewe with `score` can be moved and still reach `low` by `ready_by`.

    Raises `ValueError` for grazing on which ewes do not gain (infinite days per score).
    """
    needed = float(days_needed(score, low, days_per_score))
    if not isfinite(needed):
        raise ValueError("there is no last useful date for grazing on which ewes do not gain")
    return ready_by - timedelta(days=ceil(needed - 1e-9))


def why_not(
    scored_on: date | None,
    rams_in: date | None,
    ready_by: date | None,
    low: float | None,
    high: float | None,
    ewes: int,
) -> str | None:
    """Why a group cannot be projected, in words with the remedy; None when it can be."""
    if ewes <= 0:
        return "cannot be projected because no ewe of the group has been scored"
    if scored_on is None:
        return "cannot be projected because the session has no date; add scored_on to the file or use --date"
    if rams_in is None or ready_by is None:
        return "cannot be projected because the register has no rams_in date for this season; add it there"
    if rams_in < scored_on:
        return f"cannot be projected because the rams went in on {rams_in}, before this session ({scored_on})"
    if low is None or high is None or low != low or high != high:
        return "cannot be projected because there is no target for this system; set one in settings.toml"
    return None
