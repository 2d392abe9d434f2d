import numpy as np
import pytest

from pipelines.readiness.gain import Z95, published
from pipelines.readiness.learning import by_means, intervals, learn, learned_rates, paired
from pipelines.readiness.together import Between

OFFSET_SD = 0.135


def seen(farm, season, start, units, sd=0.3, per_score=0.0):
    """Between in standard units, each from session `start` to the next."""
    size = len(units)
    return Between(
        np.array(farm, np.intp), np.array(season, np.intp), np.array(start), np.array(start) + 1,
        np.array(units, float), np.full(size, sd), np.full(size, per_score), np.ones((size, 1)),
    )  # fmt: skip


def ask(intervals_, farm=0, season=0, session=1):
    return learn(intervals_, np.array([farm]), np.array([season]), np.array([session]), OFFSET_SD)


def test_paired_ewes_give_the_mean_change_a_day_worked_by_hand():
    # changes 0.5, 1.0, 1.5 in 50 days: mean 1.0, sd 0.5, error 0.5/√3
    found = paired(np.zeros(3, np.intp), np.array([0.5, 1.0, 1.5]), np.array([50.0]))
    assert found.rate[0] == pytest.approx(0.02)
    assert found.sd[0] == pytest.approx(0.5 / np.sqrt(3) / 50)


def test_group_means_carry_both_sampling_errors():
    # √(0.5²/25 + 0.4²/16) = √0.02 over 40 days; as many ewes both times would be 25 and 25
    one = np.ones(1)
    found = by_means((2.5 * one, 3.0 * one), (0.5 * one, 0.5 * one), (25 * one, 25 * one), 40 * one)
    assert found.rate[0] == pytest.approx(0.0125)
    assert found.sd[0] == pytest.approx(np.sqrt(0.02) / 40)


def test_ewes_sold_or_moved_widen_the_error_of_a_group_mean():
    one = np.ones(1)
    same, fewer = (
        by_means((2.5 * one, 3.0 * one), (0.5 * one, 0.5 * one), (100 * one, ewes * one), 40 * one).sd[0]
        for ewes in (100, 80)
    )
    # half missing a fifth: 0.5 × 0.5 × φ(−0.8416)/0.8 = 0.0875 (φ = 0.27996), by hand
    wanted = np.sqrt((40 * same) ** 2 * (1 + 100 / 80) / 2 + 0.0875**2) / 40
    assert fewer == pytest.approx(wanted, rel=1e-3)


def test_sessions_on_one_day_and_single_pairs_are_refused():
    with pytest.raises(ValueError, match="later day"):
        paired(np.zeros(2, np.intp), np.ones(2), np.zeros(1))
    with pytest.raises(ValueError, match="two ewes"):
        paired(np.zeros(1, np.intp), np.ones(1), np.ones(1))


def test_a_farm_without_intervals_gets_the_published_range():
    found = ask(seen([1, 1, 2], [0, 1, 0], [0, 4, 0], [2.0, 1.5, 2.5]), farm=0)
    assert (found.mean[0], found.sd[0], found.intervals[0]) == (0, 1, 0)
    assert found.data_sd[0] == np.inf and found.offset.sd[0] == OFFSET_SD


def test_nobody_has_scored_twice():
    found = ask(seen([], [], [], []))
    assert (found.mean[0], found.sd[0], found.v_farm) == (0, 1, 0.5)


def test_more_intervals_count_for_more_and_are_counted():
    few = ask(seen([0, 1, 2], [0, 0, 0], [0, 0, 0], [2.0, -0.5, 0.3]))
    many = ask(seen([0, 0, 0, 1, 2], [0, 1, 2, 0, 0], [0, 4, 8, 0, 0], [2.0, 2.0, 2.0, -0.5, 0.3]), season=2)
    assert 0 < few.mean[0] < many.mean[0] < 2.0
    assert few.sd[0] > many.sd[0] and (few.intervals[0], many.intervals[0]) == (1, 3)
    assert many.this_season[0] == 1


def test_one_season_of_one_farm_is_the_normal_posterior_worked_by_hand():
    found = ask(seen([0], [0], [0], [1.2], sd=0.6))
    prior = found.v_farm + found.v_season
    assert found.mean[0] == pytest.approx(1.2 * prior / (prior + 0.36), rel=1e-6)
    assert found.sd[0] ** 2 == pytest.approx(prior * 0.36 / (prior + 0.36), rel=1e-6)


def test_offsets_shared_by_two_intervals_cancel_between_them():
    # sessions 0, 1, 2: a generous middle session raises the first rate and lowers the second
    both = ask(seen([0, 0], [0, 0], [0, 1], [2.0, 0.0], sd=0.1, per_score=5.0), session=2)
    # the whole rise from first to last carries two offsets, not four: rate 1, error 5 × 0.135 × √2 / 2
    assert both.data_mean[0] == pytest.approx(1.0)
    assert both.data_sd[0] ** 2 - both.v_season == pytest.approx(0.005 + 0.675**2 / 2, rel=0.02)


def test_an_unexpected_rise_is_laid_partly_to_a_generous_session():
    found = ask(seen([0], [0], [0], [2.5], sd=0.1, per_score=8.0), session=1)
    assert found.offset.mean[0] > 0 and found.offset.slope[0] < 0 and found.offset.sd[0] < OFFSET_SD
    # two offsets are equally suspect: what the rate leaves unexplained is halved between them
    unexplained = 2.5 - found.mean[0]
    assert found.offset.mean[0] == pytest.approx(unexplained / 8.0 / 2, rel=0.01)


def test_a_session_that_ends_no_interval_teaches_nothing_about_itself():
    found = ask(seen([0], [0], [0], [2.5], per_score=8.0), session=7)
    assert (found.offset.mean[0], found.offset.slope[0], found.offset.sd[0]) == (0, 0, OFFSET_SD)


def test_observed_rates_become_distances_in_published_spreads():
    rates = published(["best"])
    unit = (1 / 40 - 1 / 70) / (2 * Z95)
    observed = paired(np.zeros(2, np.intp), np.array([0.9, 1.1]), np.array([50.0]))
    one = np.zeros(1, np.intp)
    found = intervals(one, one, one, one + 1, observed, rates)
    assert found.observed[0] == pytest.approx((0.02 - 1 / 52) / unit)
    assert found.per_offset[0] == pytest.approx(1 / 50 / unit)


def test_learned_rates_are_narrower_and_moved():
    rates = published(["ordinary"])
    mine = learned_rates(rates, np.array([0.8]), np.array([0.5]))
    assert mine.median[0] > rates.median[0]
    assert mine.high[0] / mine.low[0] < rates.high[0] / rates.low[0]
