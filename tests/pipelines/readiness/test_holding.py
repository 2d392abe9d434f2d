"""How far right ewes are held: worked by hand and by integration, and found again in simulated worlds."""

from functools import cache

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.stats import norm

from pipelines.readiness.gain import published
from pipelines.readiness.holding import EVEN, PARTS, Changes, evidence, going_on, habits, unheld
from tests.pipelines.readiness.simulate import BROKEN, HELD, World, practice
from tests.pipelines.readiness.walkthrough import Walk, walk

OFFSET_SD = 0.135
RATES = published(["best"])  # 52 days a score, nine times in ten 40 to 70
PACE = 0.3 / 52  # of one ewe about her group's: the reference's 30 %
DAYS = 45.0


@cache
def walked(world: str) -> Walk:
    return walk(practice({"plain": World(), "blunt": World(scorer_sd=0.35), **HELD, **BROKEN}[world], 1))


def one(**changes: object) -> Changes:
    """An interval of 150 ewes from a mean of 2.9, right at 3.1, over from 3.75, that rose by 0.6."""
    usual = {
        "days": DAYS, "change": 0.6, "change_sd": 0.02, "mean": 2.9, "sd": 0.5, "true_sd": 0.4,
        "right_at": 3.1, "ewes": 150.0, "together": 1.0, **changes,
    }  # fmt: skip
    over, edge = usual.pop("over", (0.04, 0.2)), usual.pop("edge", (3.75, 3.75))
    columns = {name: np.array([value]) for name, value in usual.items()}
    pairs = {
        name: tuple(np.array([each]) for each in pair) for name, pair in (("over", over), ("edge", edge))
    }
    return Changes(**columns, **pairs)


def risen(gain, share, mean=2.9, sd=0.4, right_at=3.1):
    """Mean rise of ewes of whom a share goes on once right, by adaptive integration over their condition."""
    own = PACE * DAYS

    def mean_rise(condition):
        # the rise of one who is held ends where she is right: E min(G, max(c − x, 0)), G normal
        room = max(right_at - condition, 0.0)
        z = (room - gain) / own
        held = gain * norm.cdf(z) - own * norm.pdf(z) + room * norm.sf(z)
        return norm.pdf(condition, mean, sd) * (share * gain + (1 - share) * held)

    return quad(mean_rise, mean - 8 * sd, mean + 8 * sd, epsabs=1e-10, limit=400, points=[right_at])[0]


@pytest.mark.parametrize("share", [0.0, 0.3, 0.75])
def test_the_rate_of_ewes_not_held_is_the_tangent_of_the_integral(share):
    usual, step = DAYS / 52, 1e-4
    answer = (risen(usual + step, share, 2.4) - risen(usual - step, share, 2.4)) / (2 * step)
    wanted = usual + (0.4 - risen(usual, share, 2.4)) / answer
    found = unheld(one(change=0.4, mean=2.4), RATES, np.array([share]))
    assert found.rate[0] == pytest.approx(wanted / DAYS, rel=1e-3)
    assert found.sd[0] == pytest.approx(0.02 / answer / DAYS, rel=1e-3)
    assert found.days[0] == pytest.approx(answer * DAYS, rel=1e-3)


def test_where_none_is_held_the_rate_is_the_plain_one():
    found = unheld(one(), RATES, np.ones(1))
    assert (found.rate[0], found.sd[0], found.days[0]) == pytest.approx((0.6 / 45, 0.02 / 45, 45))


def test_of_a_flock_wholly_right_the_mean_shows_the_share_that_goes_on():
    # all far above 3.1: a rise of 0.3 with half of them held is a rise of 0.6 of the others
    found = unheld(one(change=0.3, mean=5.5), RATES, np.array([0.5]))
    assert found.rate[0] == pytest.approx(0.6 / 45, rel=1e-6)


def test_of_a_flock_far_from_right_nothing_was_forgone():
    found = unheld(one(mean=0.5), RATES, np.zeros(1))
    assert found.rate[0] == pytest.approx(0.6 / 45, rel=1e-3)


def test_where_none_could_have_gone_over_nothing_is_learned():
    told = evidence(one(mean=1.2, over=(0.0, 0.0)), RATES, OFFSET_SD)
    assert np.ptp(told) < 0.005  # where one more ewe over of 150 would be worth a hundred times that


@pytest.mark.parametrize(("share", "likeliest"), [(0.0, 0.0), (0.5, 0.5), (1.0, 1.0)])
def test_the_share_that_ewes_were_drawn_with_is_the_likeliest(share, likeliest):
    rng, told = np.random.default_rng(5), np.zeros(5)
    for _ in range(60):  # flocks of 150, each with a rate and two offsets of its own
        start = rng.normal(2.9, 0.4, 150)
        free = start + DAYS * (RATES.at(rng.normal(size=1))[0, 0] + PACE * rng.normal(size=150))
        held = np.minimum(free, np.maximum(start, 3.1))
        ends = start, np.where(rng.random(150) < share, free, held)
        before, after = (end + rng.normal(0, 0.2, 150) + rng.normal(0, OFFSET_SD) for end in ends)
        over = tuple(np.mean(scores > 3.75) for scores in (before, after))
        seen = one(change=np.mean(after - before), mean=before.mean(), sd=before.std(), over=over)
        told += evidence(seen, RATES, OFFSET_SD)[0]
    assert PARTS[np.argmax(told)] == likeliest


def test_groups_that_share_both_sessions_say_less_than_as_many_that_do_not():
    alone, shared = (
        evidence(one(over=(0.04, 0.04), together=groups), RATES, OFFSET_SD)[0] for groups in (1.0, 2.0)
    )
    assert 0 < shared[0] - shared[-1] < alone[0] - alone[-1]


SURE = -1e3  # of what it is not


def shares_of(told, owner, spread=EVEN, keeps=1.0):
    owners = max(owner) + 1
    return going_on(
        np.array(told, float), np.array(owner), np.tile(spread, (owners, 1)), np.full(owners, float(keeps))
    )


def test_before_any_session_every_share_is_as_likely():
    assert habits(np.zeros((0, 5)), np.zeros(0, np.intp)).spread == pytest.approx(EVEN)
    # of 0, ¼, ½, ¾, 1: mean ½, mean square 1.875/5, variance 0.125; share × (1 − share) is 0.125 on the mean
    found = shares_of(np.zeros((1, 5)), [0])
    assert (found.mean[0], found.sd[0]) == pytest.approx((0.5, np.sqrt(0.125 + 0.0625**2)))


def test_a_farm_that_holds_half_for_sure_may_do_it_by_slowing_all():
    found = shares_of([[SURE, SURE, 0, SURE, SURE]], [0])
    assert (found.mean[0], found.sd[0]) == pytest.approx((0.5, 0.125))


def test_farms_that_are_sure_set_the_spread_and_no_share_is_ever_ruled_out():
    told = np.full((16, 5), SURE)
    told[:8, 0] = told[8:, 4] = 0  # two seasons each, always the same way
    found = habits(told, np.repeat(np.arange(8), 2))
    # four farms of eight at 0, four at 1, and an even two: nearly a half each, in tenths 0.4 or 0.5; and
    # 0.005 more for every share
    assert found.spread[0] == found.spread[4] > 0.45
    assert found.spread[1:4] == pytest.approx([0.005 / (1 + 0.025)] * 3, rel=0.25)
    assert found.keeps > 0.7


def test_farms_that_change_their_way_each_season_are_seen_to():
    told = np.full((40, 5), SURE)
    told[0::4, 0] = told[1::4, 4] = told[2::4, 4] = told[3::4, 0] = (
        0  # of twenty, each one way and then the other
    )
    assert habits(told, np.repeat(np.arange(20), 2)).keeps < 0.3


def test_what_another_season_tells_counts_by_how_often_farms_keep_to_their_way():
    # last season surely 0, nothing of this one. Kept to in six of ten: the usual share is 0 with a chance of
    # 0.6 + 0.4 × 0.2 = 0.68 and each other 0.08, a mean of 0.2; this season 0.6 × 0.2 + 0.4 × 0.5
    told = [[0, SURE, SURE, SURE, SURE], [0, 0, 0, 0, 0]]
    for keeps, wanted in ((1.0, 0.0), (0.6, 0.32), (0.0, 0.5)):
        assert shares_of(told, [0, 0], keeps=keeps).mean == pytest.approx([0.0, wanted])


def test_a_season_that_is_sure_goes_its_own_way():
    told = [[SURE, SURE, SURE, SURE, 0], [0, SURE, SURE, SURE, SURE], [0, 0, 0, 0, 0]]
    found = shares_of(told, [0, 0, 1], (0.1, 0.0, 0.0, 0.0, 0.9), 0.5)
    assert found.mean == pytest.approx([1.0, 0.0, 0.9])
    assert found.sd == pytest.approx([0.0, 0.0, 0.3])  # √(0.9 × 0.1)


@pytest.mark.parametrize(("world", "wanted"), [("plain", 1.0), ("all held", 0.0), ("half held", 0.5)])
def test_a_practice_finds_out_how_far_its_farms_hold(world, wanted):
    found = walked(world)
    assert found.going_on.mean.mean() == pytest.approx(wanted, abs=0.06)
    assert found.habits.spread[PARTS.tolist().index(wanted)] > 0.8


def test_scorers_who_err_far_more_than_is_told_do_not_pass_for_holding():
    # 0.35 of a score where 0.21 is taken: single ewes with high scores fall back by far more than is told,
    # and beside thin ones seem to gain two thirds of what they do
    simulated = practice(World(scorer_sd=0.35), 1)
    before, change = simulated.score[:, 0], simulated.score[:, 1] - simulated.score[:, 0]
    by_pairs = change[before >= 3.0].mean() / change[before <= 2.0].mean()
    assert by_pairs < 0.7
    assert np.mean(walked("blunt").going_on.mean) > 0.95


def test_farms_that_differ_are_told_apart():
    truth, found = practice(HELD["farms differ"], 1).going_on[:, -1], walked("farms differ").going_on
    missed = np.sqrt(np.mean((found.mean - truth) ** 2))
    assert missed < 0.6 * np.std(truth)  # 0.21; the best single share for all would miss by 0.41
    assert walked("farms differ").habits.keeps > 0.7


def test_farms_that_change_their_way_from_season_to_season_are_not_taken_to_keep_it():
    found = walked("seasons differ")
    assert found.habits.keeps < 0.5
    assert found.going_on.sd.mean() > walked("farms differ").going_on.sd.mean()
