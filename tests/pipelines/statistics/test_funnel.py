import numpy as np
import pytest
from scipy import stats

from pipelines.statistics.funnel import limits, overdispersion, wide_limits


@pytest.mark.parametrize("confidence", [0.95, 0.998])
@pytest.mark.parametrize("share", [0.05, 0.10, 0.4])
def test_limits_are_the_exact_binomial_quantiles(share, confidence):
    nobs = np.array([10, 30, 180, 900])
    low, high = limits(share, nobs, confidence)
    outside = (1 - confidence) / 2
    for size, lowest, highest in zip(nobs, np.rint(low * nobs), np.rint(high * nobs), strict=True):
        chance = stats.binom(size, share)
        assert chance.cdf(lowest - 1) <= outside < chance.cdf(lowest)
        assert chance.sf(highest) <= outside < chance.sf(highest - 1)


def test_a_sample_of_thirty_worked_from_the_binomial_table():
    # Binomial n = 30, p = 0.1: P(X ≤ 6) = 0.9742 ≤ 0.975 < P(X ≤ 7) = 0.9922, P(X = 0) = 0.9³⁰ = 0.0424
    low, high = limits(0.1, 30)
    assert (low, high) == (0.0, pytest.approx(7 / 30))


def test_farms_alike_show_no_overdispersion():
    random = np.random.default_rng(1)
    found = overdispersion(random.binomial(200, 0.12, 400), np.full(400, 200), winsorised=0)
    assert found.phi == pytest.approx(1, abs=0.15)
    assert found.tau < 0.01


def test_farms_that_differ_give_back_their_spread():
    random = np.random.default_rng(2)
    true = np.sin(np.arcsin(np.sqrt(0.15)) + random.normal(0, 0.1, 1000)) ** 2
    ewes = random.choice([60, 200, 400], 1000)
    found = overdispersion(random.binomial(ewes, true), ewes, winsorised=0)
    assert found.tau == pytest.approx(0.1, rel=0.1)


def test_one_extreme_farm_hardly_widens_the_funnel():
    thin = np.array([20, 18, 22, 19, 21, 20, 23, 17, 20, 22])
    ewes = np.full(10, 200)
    extreme = overdispersion(np.append(thin, 120), np.append(ewes, 200))
    assert wide_limits(extreme, 200)[1] < 120 / 200


def test_wide_limits_without_differences_are_near_the_exact_ones_and_widen_with_them():
    alike = overdispersion(np.full(5, 40), np.full(5, 400))
    exact, plain = limits(0.1, 400), wide_limits(alike, 400)
    assert np.allclose(exact, plain, atol=0.006)
    differ = overdispersion(np.array([20, 60, 30, 80, 40]), np.full(5, 400), winsorised=0)
    assert wide_limits(differ, 400)[1] > limits(differ.share, 400)[1]


def test_one_farm_has_no_overdispersion_to_measure():
    with pytest.raises(ValueError, match="at least two farms"):
        overdispersion([3], [30])
