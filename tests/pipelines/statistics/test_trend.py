import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.proportion import confint_proportions_2indep

from pipelines.statistics.trend import Means, Shares, change_in_mean, change_in_share


@pytest.mark.parametrize("counts", [(41, 180, 20, 176), (0, 30, 5, 40), (30, 30, 12, 60)])
def test_change_in_share_agrees_with_statsmodels(counts):
    before, n_before, after, n_after = counts
    expected = confint_proportions_2indep(
        after, n_after, before, n_before, method="newcomb", compare="diff", alpha=0.10, correction=False
    )
    found = change_in_share(Shares(before, n_before), Shares(after, n_after))
    assert (found.low, found.high) == pytest.approx(expected, abs=1e-9)
    assert found.change == pytest.approx(after / n_after - before / n_before)


def test_change_in_share_gives_the_interval_that_newcombe_printed():
    # Newcombe 1998, Table II, (a): 56/70 − 48/80, method 10: 0.0524 to 0.3339 (from memory)
    found = change_in_share(Shares(48, 80), Shares(56, 70), confidence=0.95)
    assert (found.change, found.low, found.high) == pytest.approx((0.2, 0.0524, 0.3339), abs=5e-5)


def test_two_wholly_scored_flocks_changed_by_exactly_what_was_seen():
    found = change_in_share(Shares([41], [180], [180]), Shares([18], [180], [180]))
    assert np.allclose([found.change, found.low, found.high], -23 / 180)


def test_change_in_mean_agrees_with_scipys_welch_interval():
    random = np.random.default_rng(8)
    earlier, later = random.normal(2.7, 0.4, 30), random.normal(3.0, 0.6, 55)
    expected = stats.ttest_ind(later, earlier, equal_var=False).confidence_interval(0.90)
    found = change_in_mean(
        Means(earlier.mean(), earlier.std(ddof=1), 30), Means(later.mean(), later.std(ddof=1), 55)
    )
    assert (found.low, found.high) == pytest.approx((expected.low, expected.high))


def test_change_between_flocks_all_of_one_score_is_certain():
    found = change_in_mean(Means([2.5], [0.0], [30]), Means([3.0], [0.0], [30]))
    assert (found.low[0], found.change[0], found.high[0]) == (0.5, 0.5, 0.5)


def test_part_of_a_flock_scored_leaves_that_part_less_doubt_worked_by_hand():
    # variances 0.4²/40 × (1 − 40/80) = 0.002 and 0.6²/60 × (1 − 60/90) = 0.002; degrees of freedom
    # 0.004²/(0.002²/39 + 0.002²/59) = 93.9; t(0.95, 93.9) = 1.6612 (scipy); 1.6612 × √0.004 = 0.10506
    found = change_in_mean(Means([2.7], [0.4], [40], [80]), Means([3.0], [0.6], [60], [90]))
    assert (found.low[0], found.high[0]) == pytest.approx((0.3 - 0.10506, 0.3 + 0.10506), abs=1e-4)
    whole = change_in_mean(Means([2.7], [0.4], [40], [40]), Means([3.0], [0.6], [60], [55]))
    assert (whole.low[0], whole.high[0]) == pytest.approx((0.3, 0.3))


def test_change_in_mean_of_single_ewes_is_refused():
    with pytest.raises(ValueError, match="at least two ewes"):
        change_in_mean(Means(2.5, 0.0, 1), Means(3.0, 0.3, 30))
