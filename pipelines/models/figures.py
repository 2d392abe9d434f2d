"""Intervals of every group and session, and the standing of every farm, from counts."""

from __future__ import annotations

import numpy as np
import pandas as pd

from pipelines.statistics.proportions import mean_interval, wilson
from pipelines.statistics.standing import standing

WORST_SCORE, BEST_SCORE = 1, 5


def session_figures(counts: pd.DataFrame) -> pd.DataFrame:
    """Counts of `staging/session_count.sql` with 90 % intervals of shares (0–1) and of the mean (scores).

    The flock is the population of a whole session; of a single group only the ewes scored are known, and
    its intervals are those of a sample from an endless one.
    """
    flock = counts["flock_ewes"].astype(float).where(counts["group"] == "ALL")
    found = counts.copy()
    on_target = counts["ewes"] - counts["thin"] - counts["over"]
    for name, count in (("thin_share", counts["thin"]), ("on_target", on_target), ("over", counts["over"])):
        found[f"{name}_low"], found[f"{name}_high"] = wilson(count, counts["ewes"], population=flock)
    low, high = mean_interval(
        counts["mean_score"], counts["sd_score"].fillna(np.nan), counts["ewes"], population=flock
    )
    # a mean of two or three ewes has an interval that runs off the scale
    found["mean_low"], found["mean_high"] = np.clip(low, WORST_SCORE, None), np.clip(high, None, BEST_SCORE)
    return found


def standing_figures(sessions: pd.DataFrame, limit: float) -> pd.DataFrame:
    """Sessions of `staging/standing_session.sql` with each farm's standing among its like.

    Farms are alike in season, stage and system; `limit` is the share above which there are too many thin.
    """
    pools = [
        _pool(pool, limit) for _, pool in sessions.groupby(["season", "stage", "system"], sort=True)
    ] or [_pool(sessions, limit)]
    return pd.concat(pools, ignore_index=True)


def _pool(pool: pd.DataFrame, limit: float) -> pd.DataFrame:
    names = ("adjusted_thin_share", "low", "high", "chance_too_many_thin", "rank", "rank_low", "rank_high")
    if pool.empty:
        return pool.assign(**dict.fromkeys((*names, "farms", "limit"), pd.Series(dtype=float)))
    found = standing(pool["thin"], pool["ewes"], flock=pool["flock_ewes"], limit=limit)
    columns = (
        found.adjusted, found.low, found.high, found.chance_too_many,
        found.rank, found.rank_low, found.rank_high,
    )  # fmt: skip
    return pool.assign(**dict(zip(names, columns, strict=True)), farms=len(pool), limit=limit)
