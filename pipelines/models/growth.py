"""How fast each farm's ewes gain: what its sessions show, put together with the published range.

All numbers come from `pipelines.readiness`; here frames become arrays and back.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass

import numpy as np
import pandas as pd
from numpy.typing import NDArray

from pipelines.models import pace
from pipelines.models.digits import DIGITS
from pipelines.models.holding import GOING_ON, chosen, seasons
from pipelines.models.intervals import Seen, arrays, numbers
from pipelines.readiness.condition import published_errors
from pipelines.readiness.gain import Rates
from pipelines.readiness.holding import PARTS, GoingOn, Habits, evidence, going_on, habits, unheld
from pipelines.readiness.learning import Observed, intervals, learn, practice_variances
from pipelines.readiness.pace import PracticePace, unseen
from pipelines.readiness.together import Between
from pipelines.readiness.unwritten import learn as learn_pace
from pipelines.readiness.unwritten import practice
from pipelines.settings import Settings

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
NOW = 9999  # a season that all others came before
STEP = np.log(1.2)  # of a variance; see `settled`
TURNS = 2  # how many right ewes went on says how fast they gained, and that again how many went on
OFFSETS = ("offset_mean", "offset_slope", "offset_sd")
FIGURES = (
    "named_farm", "named_season", "early_pace", "late_pace", "early_doubt", "late_doubt", "early_sd",
    "late_sd", "alike", "lasting", *GOING_ON, "keeps",
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of a practice: how much farms and their seasons differ on grazing that was named
    (variances), the pace where none was, and how its farms go about holding ewes that have come right."""

    named: tuple[float, float]
    unwritten: PracticePace
    going_on: Habits

    def figures(self) -> tuple[float, ...]:
        """As `FIGURES`."""
        pace, habits = self.unwritten, self.going_on
        parts = (*pace.mean, *pace.mean_sd, *pace.sd, pace.alike, pace.lasting)
        return (*self.named, *parts, *habits.spread, habits.keeps)

    @staticmethod
    def of(figures: Sequence[float]) -> Known:
        """The same from `FIGURES`."""
        named, mean, doubt, sd = ((figures[place], figures[place + 1]) for place in range(0, 8, 2))
        pace = PracticePace(mean, doubt, sd, figures[8], figures[9])
        return Known(named, pace, Habits(tuple(figures[10:-1]), figures[-1]))


def settled(seen: pd.DataFrame, asked: Collection[int], settings: Settings) -> dict[int, Known]:
    """What was known of the practice before each season; before `NOW`, what is known now.

    `seen` holds rows of `growth_interval`. The answer is on a scale of coarse steps, as nothing finer is
    known: so one more file seldom moves it, and while it stays, the figures of all other farms stay too.
    """
    farm = seen.groupby("farm", sort=True).ngroup().to_numpy().astype(np.intp)
    all_seen = arrays(seen, settings)
    before = {int(season): all_seen.season < season for season in sorted(asked)}
    return {season: _known(all_seen.take(rows), farm[rows], settings) for season, rows in before.items()}


def _known(seen: Seen, farm: Ints, settings: Settings) -> Known:
    """What was seen teaches of the practice; where grazing was unwritten, pace and holding in turn."""
    farm = np.unique(farm, return_inverse=True)[1]
    farms, usual, known = int(farm.max(initial=-1)) + 1, pace.usual(settings), unseen()
    unwritten, none = ~seen.stated, np.zeros(len(farm), np.intp)
    for _ in range(TURNS if unwritten.any() else 1):
        rates = seen.expected([known], none, usual)
        place, owner, told = seasons(farm, seen.season, _told(seen, rates))
        ways = habits(told, owner)
        spread, keeps = np.tile(ways.spread, (farms, 1)), np.full(farms, ways.keeps)
        share = chosen(going_on(told, owner, spread, keeps), settings).mean[place]
        found = unheld(seen.changes, rates, share)
        gains = _gains(seen, farm, found, usual).take(unwritten)
        if unwritten.any():
            known = pace.coarse(practice(gains, published_errors()[1]))
    named = _intervals(seen, farm, found).take(seen.stated)
    return Known(_coarse(practice_variances(named, published_errors()[1])), known, ways)


def _told(seen: Seen, rates: Rates) -> Floats:
    """What each interval says of holding."""
    return evidence(seen.changes, rates, published_errors()[1]).round(DIGITS)


def _coarse(variances: tuple[float, float]) -> tuple[float, float]:
    farm, season = (float(np.exp(np.round(np.log(each) / STEP) * STEP)) for each in variances)
    return farm, season


def _intervals(seen: Seen, farm: Ints, found: Observed) -> Between:
    """Rates of the ewes not held, in standard units."""
    return intervals(farm, seen.season, seen.start, seen.end, found, seen.rates)


def _gains(seen: Seen, farm: Ints, found: Observed, usual: float) -> Between:
    """Gains of the ewes not held, in scores, beside what the ordinary rate would bring in each part."""
    days = seen.changes.days
    return Between(
        farm, seen.season, seen.start, seen.end, found.rate * days, found.sd * days, days / found.days,
        usual * seen.parts,
    )  # fmt: skip


def learned(
    sessions: pd.DataFrame, seen: pd.DataFrame, known: Sequence[Known], settings: Settings
) -> pd.DataFrame:
    """The rate of each farm and season, from the farm's own intervals up to the session projected from.

    `sessions` has one row per `farm`, `season` and `scored_on`, and so has the answer; `seen` rows of
    `growth_interval`; `known` is what was known of the practice at each session. Of grazing that was named,
    adds prior, data and result in standard units (see `learning`), the intervals they rest on, and what they
    say of the session's offset; the same of grazing that was not, as pace (`pace.COLUMNS`); and the share of
    right ewes that go on gaining (see `holding`), from all intervals.
    """
    asked = sessions[["farm", "season", "scored_on"]].reset_index(drop=True)
    used = asked.assign(number=asked.index).merge(seen, on="farm", suffixes=("_asked", ""))
    used = used[used["next_on"] <= used["scored_on_asked"]]
    # every session asked for is a farm of its own here, so that each sees what had happened by then
    number, usual = used["number"].to_numpy(np.intp), pace.usual(settings)
    seen_then = arrays(used, settings)
    rates = seen_then.expected([each.unwritten for each in known], number, usual)
    told = _told(seen_then, rates)
    going, shares = _going_on(asked, number, seen_then, told, [each.going_on for each in known], settings)
    found = unheld(seen_then.changes, rates, shares)
    named = _intervals(seen_then, number, found).take(seen_then.stated)
    gains = _gains(seen_then, number, found, usual).take(~seen_then.stated)
    return asked.assign(
        **_named(asked, named, [each.named for each in known]),
        **_unwritten(asked, gains, [each.unwritten for each in known]),
        **going,
    )


def _going_on(
    asked: pd.DataFrame, number: Ints, seen: Seen, told: Floats, ways: Sequence[Habits], settings: Settings
) -> tuple[dict[str, Floats], Floats]:
    """Columns on holding for the sessions `asked` for, and the share that went on in each interval seen."""
    # the season asked for is there even if it has told nothing yet
    owners = np.concatenate([number, asked.index.to_numpy(np.intp)])
    season = np.concatenate([seen.season, asked["season"].to_numpy(np.intp)])
    said = np.concatenate([told, np.zeros((len(asked), len(PARTS)))])
    place, owner, by_season = seasons(owners, season, said)
    spread = np.array([each.spread for each in ways]).reshape(-1, len(PARTS))
    keeps = np.array([each.keeps for each in ways], float)
    found = chosen(going_on(by_season, owner, spread, keeps), settings)
    own, usual = place[len(number) :], np.einsum("nk,k->n", spread, PARTS)
    columns = {
        "going_on": found.mean[own],
        "going_on_sd": found.sd[own],
        "practice_going_on": chosen(GoingOn(usual, usual), settings).mean,
    }
    return {name: column.round(DIGITS) for name, column in columns.items()}, found.mean[place[: len(number)]]


def _named(
    asked: pd.DataFrame, seen: Between, variances: list[tuple[float, float]]
) -> dict[str, Floats | Ints]:
    v_farm, v_season = np.array(variances, float).reshape(-1, 2).T
    found = learn(
        seen,
        asked.index.to_numpy(np.intp),
        asked["season"].to_numpy(np.intp),
        numbers(asked["scored_on"]),
        published_errors()[1],
        (v_farm, v_season),
    )
    return {
        "units_mean": found.mean.round(DIGITS),
        "units_sd": found.sd.round(DIGITS),
        "data_mean": found.data_mean,
        "data_sd": found.data_sd,
        "intervals": found.intervals,
        "intervals_this_season": found.this_season,
        **{name: getattr(found.offset, name.removeprefix("offset_")).round(DIGITS) for name in OFFSETS},
    }


def _unwritten(asked: pd.DataFrame, seen: Between, known: list[PracticePace]) -> dict[str, Floats | Ints]:
    season = asked["season"].to_numpy(np.intp)
    found = learn_pace(seen, season, numbers(asked["scored_on"]), published_errors()[1], known)
    size, here = len(asked), seen.season == season[seen.farm]
    gained, ordinary = (
        np.bincount(seen.farm, part, size) for part in (seen.observed, seen.multiples.sum(axis=1))
    )
    means = np.array([each.mean for each in known]).reshape(-1, 2).T
    return {
        **pace.columns(found),
        "unwritten_intervals": np.bincount(seen.farm, minlength=size),
        "unwritten_this_season": np.bincount(seen.farm[here], minlength=size),
        "unwritten_share": np.divide(gained, ordinary, out=np.full(size, np.nan), where=ordinary > 0),
        **dict(zip(("practice_early_pace", "practice_late_pace"), means, strict=True)),
    }
