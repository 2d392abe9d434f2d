"""The projection against integrals written independently of it, and against its limits."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import ndtr

from pipelines.readiness.gain import Rates, published
from pipelines.readiness.holding import GoingOn
from pipelines.readiness.projection import Cells, Groups, project, project_together

MOB = {1.5: 4, 2.0: 21, 2.5: 60, 3.0: 44, 3.5: 9, 4.0: 2}
EWE_SD, OFFSET_SD, SPREAD = 0.21, 0.135, 0.5  # told to the projection as well
DAYS = {"best": (40, 52, 70), "ordinary": (50, 75, 120)}


def chance_by_integration(scores, score, days, grazing, low_edge, high_edge):
    """Straight from the written model, over days per score instead of rates, by adaptive quadrature."""
    ewes = np.array(list(scores.values()), float)
    values = np.array(list(scores))
    mean = np.average(values, weights=ewes)
    grouping = 0.5**2 / 12
    published_variance = SPREAD**2 + EWE_SD**2 + grouping
    observed = (ewes @ (values - mean) ** 2 + 4 * published_variance) / (ewes.sum() - 1 + 4)
    true = observed - grouping - EWE_SD**2
    kelley = true / (true + EWE_SD**2)
    pull = grouping / observed * (score - mean)
    width = kelley * (0.5 - 2 * abs(pull))
    shared = OFFSET_SD**2 + (1 - kelley) ** 2 * observed / ewes.sum()
    fast, usual, slow = DAYS[grazing]
    own = 0.3 * days / usual
    sd = np.sqrt(true * (1 - kelley) + shared + own**2)

    def given_days(log_days):
        centre = mean + kelley * (score - mean - pull) + days / np.exp(log_days)

        def inside(u):
            return ndtr((high_edge - centre - u) / sd) - ndtr((low_edge - centre - u) / sd)

        return quad(inside, -width / 2, width / 2, epsabs=1e-10)[0] / width

    total = 0.0
    for side, quantile in ((-1, fast), (1, slow)):
        spread = abs(np.log(quantile / usual)) / 1.6448536269514722

        def weighted(t, side=side, spread=spread):
            return np.exp(-0.5 * t**2) / np.sqrt(2 * np.pi) * given_days(np.log(usual) + side * spread * t)

        total += quad(weighted, 0, 8, epsabs=1e-9, limit=200)[0]
    return total


@pytest.mark.parametrize(("days", "grazing"), [(0, "best"), (35, "ordinary"), (63, "best"), (90, "ordinary")])
def test_chances_agree_with_an_independent_numerical_integration(histogram, group, days, grazing):
    told = group(days, grazing, scorer_sd=EWE_SD, offset_sd=OFFSET_SD)
    found = project(histogram(MOB), told).chance
    # band 3 to 4 in half scores: condition 2.75 to 4.25
    wanted = [chance_by_integration(MOB, score, days, grazing, 2.75, 4.25) for score in MOB]
    assert np.abs(found - wanted).max() < 1e-6
    share = project(histogram(MOB), told).ready_share[0]
    assert share == pytest.approx(np.average(wanted, weights=list(MOB.values())), abs=1e-6)


def test_without_error_or_time_the_share_ready_is_that_recorded(histogram, group):
    exact = group(0, scorer_sd=0.0, offset_sd=0.0)
    found = project(histogram(MOB), exact)
    # by hand: 44 + 9 + 2 of 140 lie in 3 to 4
    assert found.ready_share[0] == pytest.approx(55 / 140, abs=1e-5)
    assert found.chance == pytest.approx([0, 0, 0, 1, 1, 1], abs=1e-5)
    assert (found.low[0], found.high[0]) == pytest.approx((55 / 140, 55 / 140), abs=1e-3)


def test_a_band_that_begins_between_two_half_scores_starts_at_the_next_score(histogram, group):
    exact = group(0, low=2.75, high=3.5, scorer_sd=0.0, offset_sd=0.0)
    assert project(histogram(MOB), exact).chance == pytest.approx([0, 0, 0, 1, 1, 0], abs=1e-5)


def test_a_known_rate_moves_every_score_by_hand(histogram, group):
    rate = np.array([1 / 45])
    rates = Rates(rate, rate * (1 - 1e-9), rate * (1 + 1e-9), np.array([np.inf]), np.zeros(1))
    found = project(histogram(MOB), group(45, rates=rates, scorer_sd=0.0, offset_sd=0.0))
    # one score in 45 days: 2.0 becomes 3.0, 3.0 becomes 4.0, 3.5 becomes 4.5
    assert found.chance == pytest.approx([0, 1, 1, 1, 0, 0], abs=1e-5)


def test_a_group_of_one_keeps_her_score_and_gets_a_wide_interval(histogram, group):
    found = project(histogram({2.5: 1}), group(0, scorer_sd=0.2, offset_sd=0.0))
    # condition is about 2.5, give or take the scorer's 0.2 and half a class; the band begins at 2.75
    assert 0 < found.chance[0] < 0.5
    assert found.ready_share[0] == found.chance[0]
    assert found.high[0] - found.low[0] > 0.3


def test_everyone_with_the_same_score_is_in_one_condition(histogram, group):
    found = project(histogram({2.5: 200}), group(0, low=2.5, scorer_sd=0.2, offset_sd=0.0))
    assert found.ready_share[0] == pytest.approx(1, abs=1e-3)
    thin = project(histogram({2.0: 200}), group(0, low=2.5, scorer_sd=0.2, offset_sd=0.0))
    assert thin.ready_share[0] == pytest.approx(0, abs=1e-3)


def test_the_doubt_about_the_rate_does_not_average_out(histogram, group):
    many = histogram({score: 1000 * ewes for score, ewes in MOB.items()})
    few, lots = project(histogram(MOB), group(50)), project(many, group(50))
    assert lots.high[0] - lots.low[0] > 0.8 * (few.high[0] - few.low[0])


def test_the_interval_is_wider_for_a_flock_of_which_few_were_scored(histogram, group):
    few = {2.0: 8, 2.5: 12, 3.0: 10}
    all_of_them = {score: 20 * ewes for score, ewes in few.items()}
    sample, whole = (
        project(histogram(mob), group(0, flock=600, offset_sd=0.0)) for mob in (few, all_of_them)
    )
    assert sample.high[0] - sample.low[0] > 1.5 * (whole.high[0] - whole.low[0])


def test_one_ewe_of_many_says_little(histogram, group):
    found = project(histogram({3.5: 1}), group(0, flock=200.0))
    assert found.low[0] < 0.4


def test_the_same_input_gives_the_same_answer_whatever_stands_beside_it(histogram, group):
    alone = project(histogram(MOB), group(40))
    one = histogram(MOB)
    many = 3000  # more than one block of cells
    cells = Cells(np.repeat(np.arange(many), 6), np.tile(one.score, many), np.tile(one.ewes, many))
    single = group(40)
    spread = {
        name: np.repeat(getattr(single, name), many) for name in ("days", "low", "high", "step", "flock")
    }
    together = project(cells, replace(single, rates=published(["best"] * many), **spread))
    for part in ("ready_share", "low", "high"):  # to the last bit, or a build of some farms would differ
        assert set(getattr(together, part)) == set(getattr(alone, part))
    assert np.array_equal(together.chance, np.tile(alone.chance, many))


def test_groups_of_a_flock_share_their_season_and_their_scorer():
    # one mob written as two halves: the flock's answer must be the mob's own
    score, ewes = np.array([2.0, 2.5, 3.0]), np.array([40.0, 100.0, 60.0])
    whole = project(Cells(np.zeros(3, np.intp), score, 2 * ewes), _alike(1))
    halves = project(Cells(np.repeat([0, 1], 3), np.tile(score, 2), np.tile(ewes, 2)), _alike(2))
    flock = project_together(halves, np.zeros(2, np.intp), np.array([200.0, 200.0]))
    assert flock.ready_share[0] == pytest.approx(whole.ready_share[0], abs=2e-3)
    assert (flock.low[0], flock.high[0]) == pytest.approx((whole.low[0], whole.high[0]), abs=3e-3)


def _alike(number):
    band = {name: np.full(number, value) for name, value in [("low", 3.0), ("high", 4.0), ("step", 0.5)]}
    return Groups(
        days=np.full(number, 40.0), flock=np.full(number, np.nan), rates=published(["best"] * number), **band
    )


def test_a_flock_is_the_mean_of_its_groups_by_their_ewes():
    cells = Cells(np.array([0, 1]), np.array([2.5, 2.0]), np.array([100.0, 300.0]))
    parts = project(cells, _alike(2))
    flock = project_together(parts, np.zeros(2, np.intp), np.array([100.0, 300.0]))
    assert flock.ready_share[0] == pytest.approx(0.25 * parts.ready_share[0] + 0.75 * parts.ready_share[1])


@pytest.mark.parametrize(
    ("change", "named"), [({"days": np.nan}, "days"), ({"low": np.nan}, "low"), ({"days": -3}, "days ≥ 0")]
)
def test_a_missing_number_is_refused_by_name(histogram, group, change, named):
    with pytest.raises(ValueError, match=named):
        project(histogram(MOB), group(**{"days": 30, **change}))


def test_a_group_without_ewes_is_refused(histogram, group):
    with pytest.raises(ValueError, match="every group needs scored ewes"):
        project(histogram({2.5: 0}), group(30))


def test_moving_to_best_grazing_later_lies_between_never_and_at_once(histogram, group):
    later = replace(group(20, "ordinary"), later_days=np.array([30.0]), later_rates=published(["best"]))
    plans = (group(50, "ordinary"), later, group(50, "best"))
    never, moved, at_once = (project(histogram(MOB), plan).chance[1] for plan in plans)  # a ewe at 2.0
    assert never < moved < at_once


def test_ewes_that_have_done_well_since_weaning_are_spread_further(histogram, group):
    since = replace(group(35), gaining_since=np.array([45.0]))
    plain, stretched = project(histogram(MOB), group(35)).chance, project(histogram(MOB), since).chance
    assert stretched[0] < plain[0]


def going(mean, sd=0.0):
    return GoingOn(np.array([mean]), np.array([sd]))


@pytest.mark.parametrize(("days", "grazing"), [(63, "best"), (90, "ordinary")])
@pytest.mark.parametrize("share", [0.0, 0.3])
def test_chances_where_a_share_of_right_ewes_goes_on_agree_with_integrals(
    histogram, group, days, grazing, share
):
    told = group(days, grazing, scorer_sd=EWE_SD, offset_sd=OFFSET_SD, going_on=going(share, 0.2))
    far = 50.0  # a condition that no ewe reaches

    def wanted(score):
        ready = chance_by_integration(MOB, score, days, grazing, 2.75, far)
        over = chance_by_integration(MOB, score, days, grazing, 4.25, far)
        over_now = chance_by_integration(MOB, score, 0, grazing, 4.25, far)
        return ready - share * over - (1 - share) * over_now

    assert np.abs(project(histogram(MOB), told).chance - [wanted(score) for score in MOB]).max() < 1e-6


def test_the_doubt_how_many_are_held_widens_the_range_as_drawing_it_would(histogram, group):
    # all rates known, no error, ewes without number: 200 days bring all of 2.0 and 3.0 over, or none if held;
    # so the share ready is 0.8 times one less the share going on, which is drawn normal about 0.5
    rate = np.array([1 / 50])
    rates = Rates(rate, rate * (1 - 1e-9), rate * (1 + 1e-9), np.array([np.inf]), np.zeros(1))
    cells = histogram({2.0: 400_000, 3.0: 400_000, 4.5: 200_000})
    told = group(200.0, rates=rates, scorer_sd=0.0, offset_sd=0.0, going_on=going(0.5, 0.1))
    found = project(cells, told)
    half = 0.8 * 0.1 * 1.6449
    assert found.ready_share[0] == pytest.approx(0.4, abs=1e-6)
    assert (found.low[0], found.high[0]) == pytest.approx((0.4 - half, 0.4 + half), abs=1e-3)


def test_the_doubt_how_many_are_held_does_not_average_out_over_groups():
    score, ewes = np.array([2.0, 3.0, 3.5]), np.array([40.0, 100.0, 60.0])
    shared = [GoingOn(np.full(size, 0.5), np.full(size, 0.35)) for size in (1, 2)]
    whole = project(Cells(np.zeros(3, np.intp), score, 2 * ewes), replace(_alike(1), going_on=shared[0]))
    parts = Cells(np.repeat([0, 1], 3), np.tile(score, 2), np.tile(ewes, 2))
    halves = project(parts, replace(_alike(2), going_on=shared[1]))
    flock = project_together(halves, np.zeros(2, np.intp), np.array([200.0, 200.0]))
    assert (flock.low[0], flock.high[0]) == pytest.approx((whole.low[0], whole.high[0]), abs=3e-3)


def test_where_right_ewes_are_held_none_goes_over_by_gaining(histogram, group):
    cells = histogram({2.0: 40, 3.0: 40, 4.5: 20})
    free, held = (project(cells, group(200.0, going_on=going(share))) for share in (1.0, 0.0))
    # 200 days bring nearly four scores: everyone is over, or held once she is right; the 4.5
    # are over or not as they are today
    assert np.all(free.chance < 0.1)
    assert held.chance[:2] == pytest.approx([1, 1], abs=0.01)
    assert held.chance[2] == pytest.approx(project(cells, group(0.0)).chance[2], abs=1e-4)


def test_where_all_go_on_for_sure_it_is_as_if_nobody_had_spoken_of_holding(histogram, group):
    plain, told = (project(histogram(MOB), group(50.0, going_on=each)) for each in (None, going(1.0)))
    for part in ("ready_share", "low", "high", "chance"):
        assert getattr(told, part) == pytest.approx(getattr(plain, part), abs=1e-12)


def test_without_time_to_gain_holding_changes_nothing(histogram, group):
    free, held = (project(histogram(MOB), group(0.0, going_on=each)) for each in (None, going(0.5, 0.35)))
    for part in ("low", "high", "chance"):
        assert getattr(held, part) == pytest.approx(getattr(free, part), abs=1e-12)


def test_one_ewe_is_as_likely_ready_as_her_group_and_less_so_the_likelier_she_goes_on(histogram, group):
    held, free = (
        project(histogram({3.5: 1}), group(90.0, going_on=going(share, 0.1))) for share in (0.2, 0.8)
    )
    assert held.ready_share[0] == held.chance[0] > free.chance[0]
    assert held.low[0] < held.ready_share[0] < held.high[0]


@pytest.mark.parametrize("grazing", ["hard", "holding"])
def test_who_does_not_gain_is_not_held_from_it(histogram, group, grazing):
    free, held = (
        project(histogram({4.5: 30}), group(60.0, grazing, going_on=each))
        for each in (None, going(0.5, 0.35))
    )
    assert (held.ready_share, held.low) == (free.ready_share, free.low)
