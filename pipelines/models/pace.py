"""Pace where grazing was not written down: frames become arrays for `readiness.pace` and back."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipelines import reference
from pipelines.models.digits import DIGITS
from pipelines.readiness.condition import Offset
from pipelines.readiness.gain import Z95, Rates
from pipelines.readiness.pace import (
    LEAST_PACE,
    Paces,
    PracticePace,
    build_up_days,
    gain,
    parted,
    rates,
    unseen,
)
from pipelines.settings import Settings

Floats = NDArray[np.float64]
COLUMNS = ("early_pace", "late_pace", "early_variance", "both_covariance", "late_variance",
           "unwritten_offset", "early_fall", "late_fall", "unwritten_offset_sd")  # fmt: skip
MEAN_STEP = 0.1  # of pace, at least; this and what follows: see `coarse`
SD_STEP = float(np.log(1.5))
SHARE_STEP = 0.2  # from a half: to 0.9 and, of what is alike, to −0.9 at most


def usual(settings: Settings) -> float:
    """The ordinary rate of gain, the adviser's or the reference's, in scores a day."""
    chosen = settings.gain.get("ordinary") or reference.days_per_score()["ordinary"]
    return 1 / chosen.median


def days_in_parts(rows: pd.DataFrame, first: Floats, last: Floats) -> Floats:
    """Days early and late in the season between two days counted from `scored_on`: shape (n, 2).

    `rows` have `scored_on` and `rams_in`.
    """
    to_rams = (rows["rams_in"] - rows["scored_on"]).dt.days.to_numpy(float)
    turn = np.asarray(to_rams - build_up_days(), dtype=float)
    return parted(first, last, turn)


def coarse(known: PracticePace) -> PracticePace:
    """On a scale of coarse steps from what is taken before any session speaks, so that one more file seldom
    moves what all farms rest on.

    The steps of the mean are as wide as it is in doubt: while little is known, every session moves it far.
    """
    first = unseen()
    mean_sd, sd = (
        np.array(start) * np.exp(_stepped(np.log(np.divide(each, start)), SD_STEP))
        for each, start in ((known.mean_sd, first.mean_sd), (known.sd, first.sd))
    )
    away = np.subtract(known.mean, first.mean)
    mean = np.array(first.mean) + _stepped(away, np.maximum(mean_sd, MEAN_STEP))
    alike, lasting = (
        start + float(_stepped(each - start, SHARE_STEP))
        for each, start in ((known.alike, first.alike), (known.lasting, first.lasting))
    )
    return PracticePace(_both(mean), _both(mean_sd), _both(sd), alike, lasting)


def _stepped(values: Floats | float, step: Floats | float) -> Floats:
    return np.asarray(np.round(np.asarray(values) / step) * step, dtype=float)


def _both(values: Floats) -> tuple[float, float]:
    return float(values[0]), float(values[1])


def columns(found: Paces) -> Mapping[str, Floats]:
    """What was learned as `COLUMNS`."""
    parts = (
        *found.mean.T, found.covariance[:, 0, 0], found.covariance[:, 0, 1], found.covariance[:, 1, 1],
        found.offset, *found.fall.T, found.offset_sd,
    )  # fmt: skip
    return {name: part.round(DIGITS) for name, part in zip(COLUMNS, parts, strict=True)}


def paces(rows: pd.DataFrame) -> Paces:
    """The same from `COLUMNS`."""
    early, late, *spread, offset, early_fall, late_fall, sd = (rows[name].to_numpy(float) for name in COLUMNS)
    covariance = np.stack([spread[0], spread[1], spread[1], spread[2]], axis=1).reshape(-1, 2, 2)
    fall = np.stack([early_fall, late_fall], axis=1)
    return Paces(np.stack([early, late], axis=1), covariance, offset, fall, sd)


def unwritten(rows: pd.DataFrame, days: Floats, settings: Settings) -> tuple[Rates, Floats, Offset]:
    """Rates of groups over `days` from `scored_on`, days for which their ewes had gained at those before it,
    and the offsets of their sessions.

    `rows` have `COLUMNS` and `gaining_since`, days from weaning to scoring: such as passed without gain do
    not count.
    """
    known, ordinary, none = paces(rows), usual(settings), np.zeros(len(rows))
    ahead, past = (
        days_in_parts(rows, *span) for span in ((none, days), (-rows["gaining_since"].to_numpy(float), none))
    )
    mean, sd, offset = gain(known, ahead, ordinary)
    found = rates(mean, sd, days, ordinary)
    gained = np.maximum(gain(known, past, ordinary)[0], 0.0)
    return found, gained / np.maximum(found.median, LEAST_PACE * ordinary), offset


def figures(found: pd.DataFrame) -> dict[str, Floats]:
    """What `farm_growth` tells of the pace in each part of the season, with its 90 % range."""
    known = paces(found)
    told: dict[str, Floats] = {}
    for place, part in enumerate(("early", "late")):
        mean, doubt = known.mean[:, place], Z95 * np.sqrt(known.covariance[:, place, place])
        told |= {f"{part}_pace": mean, f"{part}_pace_low": mean - doubt, f"{part}_pace_high": mean + doubt}
    return {name: values.round(DIGITS) for name, values in told.items()}
