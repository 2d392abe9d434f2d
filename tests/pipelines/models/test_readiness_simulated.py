"""The published readiness against ewes drawn one by one, written apart from `pipelines.readiness`.

What was learned of the farm (`units_…`, `offset_…`, `going_on…` of readiness_cell) is as given: it has its
own tests. Everything else is drawn from the model as the page tells it, with the figures of the contract.
"""

from datetime import date

import numpy as np
import pytest
from scipy.stats import norm

DRAWS = 1500
EWE_SD, SESSION_SD = 0.2074, 0.1353  # from Phythian 2012 by expected kappa, worked out in a script of its own
DAYS = {"best": (52, 40, 70), "ordinary": (75, 50, 120)}
LOW, HIGH, STEP = 3.0, 4.0, 0.5
JULY, AUGUST = date(2026, 7, 10), date(2026, 8, 15)
GONE, LEFT, SINCE_WEANING = 5, 37, 45  # to 20 August, on to 26 September; weaned on 1 July


def rate(grazing, z):
    """Scores a day at standard normal `z`: two-piece lognormal, or drift and loss as in the reference."""
    if grazing in DAYS:
        usual, fast, slow = DAYS[grazing]
        return (
            np.exp(np.where(z > 0, np.log(usual / fast), np.log(slow / usual)) / norm.ppf(0.95) * z) / usual
        )
    if grazing == "holding":  # 90 % of a drift of one score in 180 days either way
        return z / norm.ppf(0.95) / 180
    return np.maximum((-0.5 + 0.2 * z / norm.ppf(0.95)) / 84, -1 / 84)


def simulated(rng, scores, known, grazing, moved=False):
    """Shares ready of the ewes of one group, one per draw."""
    number, mean = len(scores), scores.mean()
    grouping = STEP**2 / 12
    observed = (((scores - mean) ** 2).sum() + 4 * (0.25 + EWE_SD**2 + grouping)) / (number - 1 + 4)
    true = observed - grouping - EWE_SD**2
    kept = true / (true + EWE_SD**2)
    read_sd = np.sqrt(true + EWE_SD**2)
    pace = 0.3 / DAYS[grazing if grazing in DAYS else "ordinary"][0]
    pace *= 1 if grazing else max(known["late_pace"], 0.25)
    own_sd = pace * (GONE if moved else GONE + LEFT) + (0.3 / 52 * LEFT if moved else 0)
    so_far = pace * SINCE_WEANING if grazing in DAYS else 0.0
    if not grazing:  # weaned and scored before building up for the rams began
        so_far = 0.3 / 75 * max(known["early_pace"], 0.0) * SINCE_WEANING
    stretch = own_sd * so_far / max(np.sqrt(true), so_far) ** 2
    shares = np.empty(DRAWS)
    z, daily, offset = named(rng, known, grazing) if grazing else unwritten(rng, known)
    mine = known["units_mean"] + known["units_sd"] * z
    shift = daily * (GONE if moved else GONE + LEFT)
    if moved:
        shift = shift + LEFT * rate("best", mine)
    gain = shift
    shift = gain - offset
    shift += (1 - kept) * np.sqrt(observed / number) * rng.normal(size=DRAWS)
    # normal as far as shares go, which is how the doubt about holding is told
    going = np.clip(rng.normal(known["going_on"], known["going_on_sd"], DRAWS), 0, 1)
    gains = moved or not grazing or grazing in DAYS
    ends = norm.cdf((scores - STEP / 2 - mean) / read_sd), norm.cdf((scores + STEP / 2 - mean) / read_sd)
    for draw in range(DRAWS):
        read = read_sd * norm.ppf(ends[0] + (ends[1] - ends[0]) * rng.random(number))
        condition = kept * read + np.sqrt(true * (1 - kept)) * rng.normal(size=number)
        own = stretch * condition + np.sqrt(own_sd**2 - stretch**2 * true) * rng.normal(size=number)
        then = mean + condition + own + shift[draw]
        now = mean + condition + shift[draw] - gain[draw]
        over = then >= HIGH + STEP / 2
        if gains:  # those held are over only if they are now
            over = np.where(rng.random(number) < going[draw], over, now >= HIGH + STEP / 2)
        shares[draw] = np.mean((then >= LOW - STEP / 2) & ~over)
    return shares


def named(rng, known, grazing):
    """Place of the group's rate among those possible, the rate, and the offset of the session."""
    z = rng.normal(size=DRAWS)
    mine = known["units_mean"] + known["units_sd"] * z if grazing in DAYS else z
    offset = known["offset_mean"] + known["offset_slope"] * z + known["offset_sd"] * rng.normal(size=DRAWS)
    return z, rate(grazing, mine), offset


def unwritten(rng, known):
    """The same, all days ahead lying after building up began: two paces, and an offset that explains them."""
    mean = np.array([known["early_pace"], known["late_pace"]])
    early, late, both = (known[name] for name in ("early_variance", "late_variance", "both_covariance"))
    paces = rng.multivariate_normal(mean, [[early, both], [both, late]], DRAWS)
    fallen = paces @ np.array([known["early_fall"], known["late_fall"]])
    offset = known["unwritten_offset"] - fallen + known["unwritten_offset_sd"] * rng.normal(size=DRAWS)
    return (paces[:, 1] - mean[1]) / np.sqrt(late), paces[:, 1] / 75, offset


def put(world, day, counts, grazing):
    world.tally("F1", counts, scored_on=day, grazing=grazing, file=f"{day}.csv")


@pytest.mark.parametrize("grazing", ["best", "ordinary", "holding", "hard", None])
def test_shares_ready_are_those_of_ewes_drawn_one_by_one(world, grazing):
    counts = {2.0: 15, 2.5: 45, 3.0: 50, 3.5: 20, 4.5: 10}
    world.register("F1", ewes=140)
    put(world, JULY, {2.0: 35, 2.5: 70, 3.0: 35}, grazing)
    put(world, AUGUST, counts, grazing)
    world.build()
    names = (
        "units_mean", "units_sd", "offset_mean", "offset_slope", "offset_sd", "going_on", "going_on_sd",
        "early_pace", "late_pace", "early_variance", "late_variance", "both_covariance",
        "unwritten_offset", "early_fall", "late_fall", "unwritten_offset_sd",
    )  # fmt: skip
    known = dict(zip(names, world.table("readiness_cell", ", ".join(names))[0], strict=True))
    scores = np.repeat(list(counts), list(counts.values()))
    rng = np.random.default_rng(20260820)
    stays, moves = (simulated(rng, scores, known, grazing, moved) for moved in (False, True))
    ((share, low, high, best),) = world.table(
        "readiness", "ready_share, ready_share_low, ready_share_high, on_best_share", "\"group\" = 'ALL'"
    )
    assert share == pytest.approx(stays.mean(), abs=0.01)
    assert (low, high) == pytest.approx(tuple(np.quantile(stays, [0.05, 0.95])), abs=0.03)
    assert best == pytest.approx(moves.mean(), abs=0.01)
