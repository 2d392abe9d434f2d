import numpy as np
import pytest
from scipy import stats

from pipelines.statistics.betabinomial import fit, log_likelihood, posterior

THIN = np.array([2.0, 31.0, 9.0, 0.0, 18.0])
EWES = np.array([30.0, 180.0, 100.0, 40.0, 400.0])


def independent_grid(thin, ewes, size=240):
    """Mean share, weight in ewes and chance of every node: uniform in both, from scipy's likelihood."""
    middle = (np.arange(size) + 0.5) / size
    mean, kept = (axis.ravel() for axis in np.meshgrid(middle, middle, indexing="ij"))
    weight = 20 * kept / (1 - kept)
    log = sum(
        stats.betabinom.logpmf(k, n, mean * weight, (1 - mean) * weight)
        for k, n in zip(thin, ewes, strict=True)
    )
    chance = np.exp(log - log.max())
    return mean, weight, chance / chance.sum()


@pytest.mark.parametrize(("a", "b"), [(1.5, 8.5), (40, 300), (0.05, 2)])
def test_likelihood_agrees_with_scipy(a, b):
    expected = stats.betabinom.logpmf(THIN, EWES, a, b).sum()
    assert log_likelihood(THIN, EWES, a, b) == pytest.approx(expected, rel=1e-10)


def test_likelihood_takes_arrays_of_priors():
    a, b = np.array([[1.0, 2.0, 3.0]]), np.array([[9.0, 9.0, 30.0]])
    each = [[stats.betabinom.logpmf(THIN, EWES, *at).sum() for at in zip(a[0], b[0], strict=True)]]
    assert np.allclose(log_likelihood(THIN, EWES, a, b), each)


@pytest.mark.parametrize("farms", [slice(0, 1), slice(0, 3), slice(0, 5), slice(3, 4)])
def test_posterior_mean_agrees_with_an_independent_grid(farms):
    thin, ewes = THIN[farms], EWES[farms]
    mean, weight, chance = independent_grid(thin, ewes)
    a, b = posterior(fit(thin, ewes), thin, ewes)
    for farm in range(len(thin)):
        expected = chance @ ((mean * weight + thin[farm]) / (weight + ewes[farm]))
        assert a[farm] / (a[farm] + b[farm]) == pytest.approx(expected, abs=4e-4)


def test_posterior_quantiles_agree_with_the_full_mixture_of_an_independent_grid():
    mean, weight, chance = independent_grid(THIN, EWES)
    a, b = posterior(fit(THIN, EWES), THIN, EWES)
    for farm, level in [(0, 0.05), (0, 0.95), (1, 0.05), (1, 0.95), (3, 0.95)]:
        ours = stats.beta.ppf(level, a[farm], b[farm])
        mixture = stats.beta(mean * weight + THIN[farm], (1 - mean) * weight + EWES[farm] - THIN[farm])
        assert chance @ mixture.cdf(ours) == pytest.approx(level, abs=0.012)


def test_the_nodes_weigh_as_likelihood_times_weak_density():
    found = fit(THIN, EWES)
    mean, weight, chance = independent_grid(THIN, EWES)
    for ours, theirs in [
        (found.node_a / (found.node_a + found.node_b), mean),
        (np.log(found.node_a + found.node_b), np.log(weight)),
    ]:
        middle = chance @ theirs
        assert found.node_weight @ ours == pytest.approx(middle, abs=0.01)
        spread = np.sqrt(chance @ (theirs - middle) ** 2)
        assert np.sqrt(found.node_weight @ (ours - middle) ** 2) == pytest.approx(spread, rel=0.03)


@pytest.mark.parametrize("farms", [1, 3, 60])
@pytest.mark.parametrize("share", [0, 1])
def test_no_or_only_thin_ewes_still_give_a_fit(farms, share):
    ewes = np.full(farms, 30.0)
    a, b = posterior(fit(share * ewes, ewes), share * ewes, ewes)
    assert np.all(np.isfinite(a) & np.isfinite(b) & (a > 0) & (b > 0))
    assert np.all(np.abs(a / (a + b) - share) < 0.05)


def test_a_large_practice_recovers_the_prior_it_was_drawn_from():
    random = np.random.default_rng(20260814)
    ewes = random.choice([30, 100, 300], 2000)
    thin = random.binomial(ewes, random.beta(1.5, 8.5, 2000))
    found = fit(thin.astype(float), ewes.astype(float))
    fitted = [nodes @ found.node_weight for nodes in (found.node_a, found.node_b)]
    assert fitted == pytest.approx([1.5, 8.5], rel=0.12)
