import numpy as np
import pytest
from scipy import stats
from statsmodels.stats.proportion import proportion_confint

from pipelines.statistics.proportions import jeffreys, mean_interval, wilson


@pytest.mark.parametrize(("count", "nobs"), [(0, 30), (1, 30), (41, 180), (180, 180), (7, 12)])
def test_wilson_agrees_with_statsmodels(count, nobs):
    expected = proportion_confint(count, nobs, alpha=0.10, method="wilson")
    assert np.allclose(wilson(count, nobs), expected, atol=1e-12)


@pytest.mark.parametrize(
    ("count", "nobs", "low", "high"),
    # Newcombe 1998, Statistics in Medicine 17:857-872, Table I, method 3, 95 % (from memory)
    [(81, 263, 0.2553, 0.3662), (15, 148, 0.0624, 0.1605), (0, 20, 0.0, 0.1611), (1, 29, 0.0061, 0.1718)],
)
def test_wilson_gives_the_limits_that_newcombe_printed(count, nobs, low, high):
    assert np.allclose(wilson(count, nobs, confidence=0.95), (low, high), atol=5e-5)


def test_wilson_with_half_the_flock_scored_worked_by_hand():
    # z² = 2.705543; × (40 − 20)/39 = 1.387458; centre (0.25 + 1.387458/40)/(1 + 1.387458/20) = 0.2662181,
    # half width √(1.387458·(0.25·0.75/20 + 1.387458/1600))/1.0693729 = 0.1114748 (bc -l)
    assert np.allclose(wilson(5, 20, population=40), (0.1547434, 0.3776929), atol=1e-7)


def test_a_wholly_scored_flock_has_no_sampling_error():
    assert np.allclose(wilson(41, 180, population=180), 41 / 180)
    assert np.allclose(wilson(41, 180, population=150), 41 / 180)  # the register lags behind


def test_an_unknown_flock_size_means_no_correction():
    low, high = wilson([41, 41], 180, population=[np.nan, 400])
    assert (low[0], high[0]) == pytest.approx(proportion_confint(41, 180, alpha=0.10, method="wilson"))
    assert high[1] - low[1] < high[0] - low[0]


def test_wilson_covers_the_true_share_of_a_finite_flock():
    # exact coverage: sum of hypergeometric chances of the samples whose interval holds the truth
    thin, flock, scored = 30, 200, 60
    counts = np.arange(thin + 1)
    low, high = wilson(counts, scored, population=flock)
    covered = stats.hypergeom(flock, thin, scored).pmf(counts)[(low <= 0.15) & (high >= 0.15)].sum()
    assert 0.87 <= covered <= 0.95


@pytest.mark.parametrize("interval", [wilson, jeffreys])
@pytest.mark.parametrize(("count", "nobs"), [(0, 0), (-1, 5), (6, 5), (np.nan, 5)])
def test_impossible_counts_are_refused(interval, count, nobs):
    with pytest.raises(ValueError, match="at least one ewe"):
        interval(count, nobs)


@pytest.mark.parametrize(("count", "nobs"), [(1, 30), (41, 180), (29, 30)])
def test_jeffreys_agrees_with_statsmodels(count, nobs):
    expected = proportion_confint(count, nobs, alpha=0.10, method="jeffreys")
    assert np.allclose(jeffreys(count, nobs), expected, atol=1e-12)


def test_mean_interval_agrees_with_scipy_and_shrinks_with_the_share_scored():
    expected = stats.t.interval(0.90, 24, loc=2.9, scale=0.5 / 5)
    assert np.allclose(mean_interval(2.9, 0.5, 25), expected)
    low, high = mean_interval(2.9, 0.5, 25, population=25)
    assert (low, high) == (2.9, 2.9)


def test_mean_interval_of_part_of_a_flock_worked_by_hand():
    # t(0.95, 24) = 1.7109 (table); 1.7109 × 0.5/√25 × √(1 − 25/100) = 0.14817
    low, high = mean_interval(2.9, 0.5, 25, population=100)
    assert (low, high) == pytest.approx((2.9 - 0.14817, 2.9 + 0.14817), abs=1e-5)


def test_the_spread_of_one_ewe_is_unknown():
    low, high = mean_interval(2.5, 0.0, 1)
    assert np.isnan(low) and np.isnan(high)
    assert mean_interval(2.5, np.nan, 1, population=1) == (2.5, 2.5)
