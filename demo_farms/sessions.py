"""Farms through three seasons: who is in the flock, in which group, and what a scorer wrote down."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from random import Random

from demo_farms import AS_OF
from demo_farms.chance import between, normal, some
from demo_farms.growth import (
    USUAL_AT_WEANING,
    Course,
    Ewe,
    Year,
    at_weaning,
    condition,
    course,
)
from demo_farms.valley import FARMS, FIELDS, SCORER_BIAS, SEASONS, Farm, System

SEED = "Skarrowdale 1"
SCORER_ERROR = 0.2  # scores; within-scorer agreement as in Phythian 2012 rather than perfect

DOUBLE_BOOKED = ("TARV10", date(2025, 8, 29))  # Siân is said to be at CRUG09 too

WINDOWS = {
    "W": ("weaning", "weaned_on", 0, 10),
    "p": ("pre-tupping", "weaned_on", 29, 33),
    "P": ("pre-tupping", "rams_in", -50, -42),
    "T": ("tupping", "rams_in", -12, 0),
    "S": ("scanning", "rams_in", 80, 95),
    "L": ("lambing", "rams_in", 122, 140),
}
"""Session letter: stage, date it is counted from, first and last day of the window."""

_DRAWN_AT: dict[System, tuple[float, float]] = {
    "lowland": (2.4, 3.6),
    "upland": (2.2, 3.4),
    "hill": (2.0, 3.1),
}
"""Where shepherds who sort by condition draw the thin and the fat group."""


@dataclass(frozen=True, slots=True)
class Life:
    """One ewe in one season: her group and grazing once she is built up, and her true condition."""

    ewe: Ewe
    group: str
    grazing: str
    knots: Course


@dataclass(frozen=True, slots=True)
class Scored:
    """One ewe as she was scored: her true condition, and the reading before it is rounded to a step."""

    ewe: Ewe
    group: str
    grazing: str
    true: float
    read: float


@dataclass(frozen=True, slots=True)
class Session:
    """One farm's session: every ewe that was scored on one day."""

    farm: Farm
    season: int
    stage: str
    scored_on: date
    scored: Sequence[Scored]


@dataclass(frozen=True, slots=True)
class Season:
    """One farm's season: its dates, how many ewes it holds and the sessions held so far."""

    farm: Farm
    year: Year
    ewes: int
    sessions: Sequence[Session]


Diary = set[tuple[str, date]]
"""Days on which a scorer is at some farm already."""


def valley() -> list[Season]:
    """All seasons of all farms. Each farm draws from a stream of its own, so that one can change alone but
    for the days on which its scorer is elsewhere."""
    diary: Diary = set()
    return [season for farm in FARMS for season in _seasons(farm, Random(f"{SEED}/{farm.code}"), diary)]


def _seasons(farm: Farm, rng: Random, diary: Diary) -> Iterator[Season]:
    flock = [_ewe(farm, number, between(rng, 2018, 2023), rng) for number in range(1, farm.ewes + 1)]
    lambing: dict[Ewe, float] = {}
    for season in SEASONS:
        year = _year(farm, season, rng)
        lives = [_life(farm, ewe, year, lambing.get(ewe), rng) for ewe in flock]
        yield Season(farm, year, len(flock), list(_sessions(farm, year, lives, rng, diary)))
        lambing = {life.ewe: life.knots[-1][1] for life in lives}
        flock = _next_flock(farm, flock, season + 1, rng)


def _ewe(farm: Farm, number: int, born: int, rng: Random, bought: bool = False) -> Ewe:
    own_mark = 990000 + int(farm.code[-2:])
    return Ewe(
        mark=own_mark + 100 if bought else own_mark,
        number=number,
        born=born,
        place=normal(rng, 0, 0.27),
        thrift=normal(rng, 0, 0.15),
        wasting=rng.random() < farm.wasting,
    )


def _next_flock(farm: Farm, flock: Sequence[Ewe], season: int, rng: Random) -> list[Ewe]:
    """Next season's ewes: old and wasting ones mostly sold, shearlings in, every third of them bought."""
    kept = [
        ewe for ewe in flock if rng.random() > (0.6 if season - ewe.born > 6 else 0.3 if ewe.wasting else 0.1)
    ]
    number = max(ewe.number for ewe in flock)
    wanted = farm.ewes + between(rng, -farm.ewes // 40, farm.ewes // 40) - len(kept)
    return kept + [_ewe(farm, number + i, season - 1, rng, bought=i % 3 == 0) for i in range(1, wanted + 1)]


def _year(farm: Farm, season: int, rng: Random) -> Year:
    shift = timedelta(days=0 if season == SEASONS[-1] else between(rng, -3, 3))
    return Year(
        season=season,
        system=farm.system,
        weaned_on=date.fromisoformat(f"{season}-{farm.weaned}") + shift,
        rams_in=date.fromisoformat(f"{season}-{farm.rams}") + shift,
        at_weaning=USUAL_AT_WEANING[farm.system] + farm.lean + normal(rng, 0, 0.05),
        grass=normal(rng),
    )


def _life(farm: Farm, ewe: Ewe, year: Year, before: float | None, rng: Random) -> Life:
    weaning = at_weaning(ewe, year, before, rng)
    group, grazing = _group(farm, ewe, year.season, weaning + normal(rng, 0, SCORER_ERROR))
    return Life(ewe, group, grazing, course(ewe, year, weaning, grazing, rng))


def _group(farm: Farm, ewe: Ewe, season: int, seen: float) -> tuple[str, str]:
    """Group and grazing from the start of building up; `seen` is her condition as the shepherd judges it."""
    if farm.grouping == "fields":
        return FIELDS[farm.system][ewe.number % 3]
    if farm.grouping == "condition":
        thin, fat = _DRAWN_AT[farm.system]
        if seen <= thin:
            return "Thin group", "best"
        return ("Fat ewes", "hard") if seen >= fat else ("Main mob", "ordinary")
    if farm.grouping == "age":
        age = season - ewe.born
        return ("Shearlings", "best") if age == 1 else ("Young ewes" if age < 4 else "Older ewes", "ordinary")
    return "Whole flock", "ordinary"


def _sessions(farm: Farm, year: Year, lives: Sequence[Life], rng: Random, diary: Diary) -> Iterator[Session]:
    for letter in farm.sessions:
        stage, counted_from, first, last = WINDOWS[letter]
        day = _free(farm, getattr(year, counted_from) + timedelta(days=between(rng, first, last)), diary)
        scored = _scored(farm, year, lives, day, rng)
        if day <= AS_OF and year.season <= farm.last_scored:
            yield Session(farm, year.season, stage, day, scored)


def _free(farm: Farm, day: date, diary: Diary) -> date:
    """`day`, or the day before and so on when the scorer is elsewhere: but for one day, which is left
    double-booked so that the demo shows what is said of it."""
    while (farm.scorer, day) in diary and (farm.code, day) != DOUBLE_BOOKED:
        day -= timedelta(days=1)
    diary.add((farm.scorer, day))
    return day


def _scored(farm: Farm, year: Year, lives: Sequence[Life], day: date, rng: Random) -> list[Scored]:
    gathered = [life for life in lives if rng.random() > 0.03]
    chosen = some(rng, gathered, farm.sampled) if farm.sampled else gathered
    return [_score(farm, year, life, day, rng) for life in chosen]


def _score(farm: Farm, year: Year, life: Life, day: date, rng: Random) -> Scored:
    true = condition(life.knots, day)
    read = normal(rng, true + SCORER_BIAS[farm.scorer], SCORER_ERROR)
    together = farm.grouping == "condition" and day < year.build_up
    grazing = life.grazing if year.build_up <= day <= year.rams_in else "holding"
    return Scored(life.ewe, "All ewes together" if together else life.group, grazing, true, read)
