"""A simulated practice whose truth is known, and worlds that break what the model assumes.

Written apart from the model: nothing of `pipelines.readiness` is used to draw it, and what is drawn
(each farm-season's rate, each scorer's error and offset, how much ewes differ) is not told to the model.
"""

from dataclasses import dataclass

import numpy as np

Z95 = 1.6448536269514722
DAYS = (0, 45, 80)  # weaning, pre-tupping, ready


@dataclass(frozen=True)
class World:
    farms: int = 400
    seasons: int = 3
    scorer_sd: float = 0.21
    offset_sd: float = 0.135
    ewe_variation: float = 0.3
    farm_part: float = 0.6  # of the variance of rates: the farm's own, the same every season
    rate_falls_per_score: float = 0.0  # broken: fat ewes gain more slowly
    scorer_drift: float = 0.0  # broken: scores creep up by so much a session
    removed: float = 0.0  # broken: thinnest ewes sold between sessions
    held_at: tuple[float, float] = (3.125, 3.125)  # ewes are right from a condition in this range, one a farm
    going_on: tuple[float, ...] = (1.0,)  # each farm has one of these: the share of right ewes that gains on
    way: str = "farm"  # or "season": drawn anew for every season of a farm
    held_by: str = "ewe"  # or "pace": all gain on, each at that share of her rate
    best_part: float = 0.5  # of the farms: on best grazing, the others on ordinary
    early: tuple[float, ...] = (1.0,)  # each farm has one of these: its pace up to the pre-tupping session
    late: tuple[float, ...] = (1.0,)  # and from then on, as a share of the rate of its grazing
    pace: str = "farm"  # or "season": drawn anew for every season of a farm


BROKEN = {
    "rate depends on score": World(rate_falls_per_score=0.4),
    "scorer drifts": World(scorer_drift=0.15),
    "20 % of ewes removed": World(removed=0.20),
}
MIDDLE = (2.9, 3.4)  # somewhere inside the band: not told, and not where the working takes it to be
HELD = {
    "all held": World(going_on=(0.0,)),
    "half held": World(going_on=(0.5,)),
    "farms differ": World(going_on=(0.0, 0.5, 1.0)),
    "seasons differ": World(going_on=(0.0, 0.5, 1.0), way="season"),
    "at half pace": World(going_on=(0.5,), held_by="pace"),
    "held anywhere": World(going_on=(0.0,), held_at=MIDDLE),
}
UNWRITTEN = {  # nothing is told of the grazing
    "ordinary": World(best_part=0),
    "stands still": World(best_part=0, early=(0.0,)),
    "farms differ": World(best_part=0, early=(0.0, 0.5, 1.0), late=(0.5, 1.0)),
    "seasons differ": World(best_part=0, early=(0.0, 0.5, 1.0), late=(0.5, 1.0), pace="season"),
    "sometimes best": World(),
    "ordinary, all held": World(best_part=0, going_on=(0.0,)),
}


@dataclass(frozen=True)
class Practice:
    """One row per ewe and season; `score` and `present` have a column per session."""

    unit: np.ndarray  # farm-season of each row
    score: np.ndarray
    present: np.ndarray
    condition: np.ndarray  # the truth
    farm: np.ndarray  # per farm-season
    season: np.ndarray
    step: np.ndarray
    best: np.ndarray  # whether the farm-season's ewes are on best grazing
    rate: np.ndarray  # the truth, in scores per day
    units_rate: np.ndarray  # the truth as a standard normal score
    going_on: np.ndarray  # the truth, per farm and season: the share of right ewes that gains on

    @property
    def ready_condition(self) -> np.ndarray:
        """The truth at the last session."""
        return self.condition[:, -1]


def practice(world: World, seed: int) -> Practice:
    rng = np.random.default_rng(seed)
    n_units = world.farms * world.seasons
    farm, season = np.divmod(np.arange(n_units), world.seasons)
    part = np.sqrt(world.farm_part)
    z = part * rng.normal(size=world.farms)[farm] + np.sqrt(1 - part**2) * rng.normal(size=n_units)
    best = rng.random(world.farms)[farm] < world.best_part
    days = np.where(best, _days(z, 40, 52, 70), _days(z, 50, 75, 120))
    ewes = rng.integers(60, 260, world.farms)[farm]
    unit = np.repeat(np.arange(n_units), ewes)
    step = rng.choice([0.25, 0.5], world.farms)[farm]
    start = rng.normal(2.45, 0.2, n_units)[unit] + rng.normal(0, rng.uniform(0.4, 0.6, n_units)[unit])
    usual = np.where(best, 1 / 52, 1 / 75)[unit]
    own = 1 / days[unit] + usual * world.ewe_variation * rng.normal(size=len(unit))
    own = own * (1 - world.rate_falls_per_score * (start - 2.45))
    free = start[:, None] + own[:, None] * _on_the_gain(world, seed, farm, season)[unit]
    # drawn apart, so that a practice that holds is otherwise the same as one that does not
    true, going_on = _held(np.random.default_rng((seed, 1)), world, start, free, unit)
    score = _scored(rng, world, true, unit, n_units, step)
    present = _present(rng, world, score)
    return Practice(unit, score, present, true, farm, season, step, best, 1 / days, z, going_on)


def _held(rng, world, start, free, unit):
    """Condition of ewes of whom those that are right are held, wholly or in part; `free`: were none held."""
    farm, season = np.divmod(unit, world.seasons)
    right_at = rng.uniform(*world.held_at, world.farms)[farm]
    ways = world.seasons if world.way == "season" else 1
    goes_on = rng.choice(world.going_on, (world.farms, ways))
    goes_on = np.broadcast_to(goes_on, (world.farms, world.seasons))
    mine = goes_on[farm, season]
    held = np.minimum(free, np.maximum(start, right_at)[:, None])
    part = mine if world.held_by == "pace" else rng.random(len(start)) < mine
    return held + part[:, None] * (free - held), goes_on


def _on_the_gain(world, seed, farm, season):
    """Days of gain up to each session, in each farm-season: those of the calendar where the pace is 1."""
    rng = np.random.default_rng((seed, 2))
    ways = world.seasons if world.pace == "season" else 1
    place = (farm, season if ways > 1 else 0)
    early, late = (rng.choice(each, (world.farms, ways))[place] for each in (world.early, world.late))
    first, last = DAYS[1] * early, (DAYS[2] - DAYS[1]) * late
    return np.stack([np.zeros(len(farm)), first, first + last], axis=1)


def _days(z, fast, usual, slow):
    """Two-piece lognormal with 5, 50, 95 % quantiles; a high z is a fast farm."""
    spread = np.where(z > 0, np.log(usual / fast), np.log(slow / usual)) / Z95
    return usual * np.exp(-spread * z)


def _scored(rng, world, true, unit, n_units, step):
    sd = world.scorer_sd * np.exp(rng.normal(0, 0.2, n_units))
    offset = rng.normal(0, world.offset_sd, (n_units, len(DAYS))) + world.scorer_drift * np.arange(len(DAYS))
    read = true + offset[unit] + sd[unit, None] * rng.normal(size=true.shape)
    return np.clip(np.round(read / step[unit, None]) * step[unit, None], 1, 5)


def _present(rng, world, score):
    """Ewes still there: each session the thin ones are likelier to have been sold since the last."""
    present = np.ones(score.shape, bool)
    for session in range(1, score.shape[1]):
        odds = np.where(score[:, session - 1] < 2.25, 2.0, 0.75)
        sold = rng.random(len(score)) < world.removed * odds
        present[:, session] = present[:, session - 1] & ~sold
    return present
