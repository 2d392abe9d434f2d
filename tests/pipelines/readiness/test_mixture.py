import numpy as np
import pytest
from scipy.integrate import quad
from scipy.optimize import brentq
from scipy.stats import norm

from pipelines.readiness.mixture import crps, distribution, quantile
from pipelines.readiness.quadrature import nodes, normal_integrals

SHARE, SD, WEIGHT = np.array([[0.30, 0.5, 0.55]]), np.array([[0.2, 0.15, 0.1]]), np.array([0.2, 0.5, 0.3])


def cdf(x):
    """The mixture as smoothed: each spread widened by half the wider gap to its neighbours."""
    wide = np.sqrt(SD[0] ** 2 + (0.5 * np.array([0.2, 0.2, 0.05])) ** 2)
    return float(WEIGHT @ norm.cdf(x, SHARE[0], wide))


@pytest.mark.parametrize("level", [0.05, 0.25, 0.5, 0.95])
def test_quantiles_agree_with_scipys_root_of_the_distribution(level):
    wanted = min(max(brentq(lambda x: cdf(x) - level, -2, 2), 0), 1)
    assert quantile(SHARE, np.sqrt(SD**2 + (0.5 * np.array([[0.2, 0.2, 0.05]])) ** 2), WEIGHT, level)[0] == (
        pytest.approx(wanted, abs=1e-4)
    )


def test_the_distribution_is_that_of_the_mixture():
    assert distribution(SHARE, SD, WEIGHT, np.array([0.45]))[0] == pytest.approx(cdf(0.45), abs=1e-8)


@pytest.mark.parametrize("observed", [0.0, 0.41, 0.9])
def test_crps_is_the_integrated_squared_distance_of_the_distributions(observed):
    below = quad(lambda x: cdf(x) ** 2, -3, observed)[0]
    above = quad(lambda x: (1 - cdf(x)) ** 2, observed, 4)[0]
    assert crps(SHARE, SD, WEIGHT, np.array([observed]))[0] == pytest.approx(below + above, abs=1e-6)


def test_crps_of_a_normal_at_its_mean_is_the_printed_value():
    # Gneiting & Raftery 2007, doi:10.1198/016214506000001437: σ (2 φ(0) − 1/√π) = 0.23370 σ
    assert crps(np.array([[0.5]]), np.array([[0.1]]), np.ones(1), np.array([0.5]))[0] == pytest.approx(
        0.023370, abs=1e-6
    )


def test_the_points_integrate_half_normal_moments():
    z, weight = nodes()
    # E|Z| = √(2/π), E Z² = 1, E|Z|³ = 2 √(2/π), E Z⁴ = 3
    for power, moment in [(1, np.sqrt(2 / np.pi)), (2, 1), (3, 2 * np.sqrt(2 / np.pi)), (4, 3)]:
        assert weight @ np.abs(z) ** power == pytest.approx(moment, rel=1e-9)


def test_normal_integrals_agree_with_scipy_far_beyond_the_table():
    z = np.array([-40.0, -9.5, -3.1, -0.2, 0.0, 1.7, 8.9, 30.0])
    integral, chance = normal_integrals(z)
    assert np.allclose(integral, z * norm.cdf(z) + norm.pdf(z), atol=6e-8)
    assert np.allclose(chance, norm.cdf(z), atol=3e-4)
