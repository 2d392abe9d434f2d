"""How an invented ewe's true condition moves through her year: the model behind every demo score.

From weaning she is held where she is. From `BUILD_UP_DAYS` before the rams she gains on the grazing her
group is given, at a rate that is shared by the farm and season and differs between ewes, until her own
ceiling; over-fat ewes on hard going lose. Pregnancy and suckling take condition off again, and a ewe tends
back to her own place in the flock. Wasting ewes stay thin whatever they graze.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import exp, log
from random import Random

from demo_farms.chance import normal
from demo_farms.valley import System

BUILD_UP_DAYS = 49  # a week short of the eight the trade asks for, so that some thin ewes are late

USUAL_AT_WEANING: dict[System, float] = {"lowland": 2.86, "upland": 2.78, "hill": 2.6}
"""Where ewes of each system stand after suckling, in scores; set so that the spread of all recorded scores
agrees with the published figures (tests/demo_farms/test_calibration.py)."""

_ROOM_TO_GAIN: dict[System, float] = {"lowland": 0.65, "upland": 0.62, "hill": 0.46}
"""Scores above her weaning place at which a ewe's gain ends, whatever she grazes; sooner on the hill."""

_DAYS_PER_SCORE = {"best": (40, 52, 70), "ordinary": (50, 75, 120)}
"""Median and central 90 % range of days per score, the ones the contract names."""

_LOSS_PER_DAY_ON_HARD = 1 / 120  # the demo's own choice: no published figure was found

Course = Sequence[tuple[date, float]]
"""Knots (day, true condition) of one ewe in one season, straight lines between them."""


@dataclass(frozen=True, slots=True)
class Ewe:
    """One ewe: her tag (flock mark and number), year of birth and what is lasting about her condition."""

    mark: int
    number: int
    born: int
    place: float  # lasting distance from the flock's condition, in scores
    thrift: float  # log of her days per score against her group's
    wasting: bool


@dataclass(frozen=True, slots=True)
class Year:
    """One farm's season: its dates, the condition it weans at and how well the grass grew."""

    season: int
    system: System
    weaned_on: date
    rams_in: date
    at_weaning: float
    grass: float  # standard normal; above 0 means slower gain on every kind of grazing

    @property
    def build_up(self) -> date:
        """Day on which groups are drawn and feeding for tupping starts."""
        return max(self.weaned_on, self.rams_in - timedelta(days=BUILD_UP_DAYS))


def gain_per_day(grazing: str, grass: float, thrift: float) -> float:
    """Scores a ewe gains in a day; negative on hard going."""
    if grazing == "holding":
        return 0.0
    if grazing == "hard":
        return -_LOSS_PER_DAY_ON_HARD * exp(-thrift)
    low, median, high = _DAYS_PER_SCORE[grazing]
    spread = log(high / median) if grass > 0 else log(median / low)
    return 1 / (median * exp(grass * spread / 1.645 + thrift))


def at_weaning(ewe: Ewe, year: Year, before: float | None, rng: Random) -> float:
    """True condition on the day of weaning; `before` is her condition at the lambing before it.

    `before` is None in the flock's first season and for shearlings, which have not suckled and are fitter.
    """
    if ewe.wasting:
        return normal(rng, 1.95, 0.2)
    own = year.at_weaning + ewe.place
    if before is None:
        return normal(rng, own + (0.2 if year.season - ewe.born == 1 else 0.0), 0.2)
    suckled = before - max(0.0, normal(rng, 0.32, 0.12))
    return 0.5 * (suckled + own) + normal(rng, 0, 0.14)


def course(ewe: Ewe, year: Year, weaning: float, grazing: str, rng: Random) -> Course:
    """The ewe's true condition from weaning to lambing, given what her group grazes once it is built up."""
    if ewe.wasting:
        return [(year.weaned_on, weaning), (_after_rams(year, 147), max(1.2, weaning - 0.3))]
    ceiling = year.at_weaning + _ROOM_TO_GAIN[year.system] + ewe.place + normal(rng, 0, 0.12)
    built_up = _built_up(year, weaning, gain_per_day(grazing, year.grass, ewe.thrift), ceiling)
    top = built_up[-1][1]
    lambing = top - max(0.05, normal(rng, 0.22, 0.08))
    return [
        (year.weaned_on, weaning),
        *built_up,
        (_after_rams(year, 85), top - 0.05),
        (_after_rams(year, 147), lambing),
    ]


def condition(knots: Course, day: date) -> float:
    """True condition on a day, by straight lines between knots; level before the first and after the last."""
    after = bisect_right(knots, day, key=lambda knot: knot[0])
    if after == 0:
        return knots[0][1]
    if after == len(knots):
        return knots[-1][1]
    (start, first), (end, last) = knots[after - 1], knots[after]
    return first + (last - first) * (day - start).days / (end - start).days


def _built_up(year: Year, weaning: float, rate: float, ceiling: float) -> list[tuple[date, float]]:
    """Knots from the start of building up to the day the rams go in; the ceiling ends gain and loss."""
    end = year.rams_in
    days = (end - year.build_up).days
    wanted = ceiling - weaning
    if rate == 0 or wanted * rate <= 0:
        return [(year.build_up, weaning), (end, weaning)]
    needed = int(wanted / rate) + 1
    if needed >= days:
        return [(year.build_up, weaning), (end, weaning + rate * days)]
    return [(year.build_up, weaning), (year.build_up + timedelta(days=needed), ceiling), (end, ceiling)]


def _after_rams(year: Year, days: int) -> date:
    return year.rams_in + timedelta(days=days)
