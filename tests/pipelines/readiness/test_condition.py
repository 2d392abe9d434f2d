import numpy as np
import pytest
from sklearn.metrics import cohen_kappa_score

from pipelines.readiness.condition import (
    expected_kappa,
    implied_scorer_sd,
    published_errors,
    true_condition,
)


def recorded(seed, sd, scorer_sd, step, ewes=400_000):
    """Simulated truth and what the scorer wrote down for it."""
    rng = np.random.default_rng(seed)
    true = rng.normal(2.7, sd, ewes)
    return true, np.round((true + rng.normal(0, scorer_sd, ewes)) / step) * step


def condition(score, ewes, step, scorer_sd, offset_sd=0.0):
    return true_condition(
        np.zeros(1, np.intp),
        np.asarray(score, float),
        np.asarray(ewes, float),
        np.array([step]),
        scorer_sd,
        offset_sd,
    )


@pytest.mark.parametrize(("sd", "scorer_sd", "step"), [(0.5, 0.2, 0.5), (0.5, 0.3, 0.25), (0.4, 0.2, 0.5)])
def test_regression_to_the_mean_agrees_with_a_simulated_truth(sd, scorer_sd, step):
    true, score = recorded(1, sd, scorer_sd, step)
    values, ewes = np.unique(score, return_counts=True)
    found = condition(values, ewes, step, scorer_sd)
    often = ewes > 4000
    means = np.array([true[score == value].mean() for value in values[often]])
    spreads = np.array([true[score == value].std() for value in values[often]])
    told = np.sqrt(found.ewe_sd[0] ** 2 + found.width[often] ** 2 / 12)
    assert np.abs(found.mean[often] - means).max() < 0.03
    assert np.abs(told - spreads).max() < 0.025
    raw = np.abs(values[often] - means).max()
    assert raw > 3 * np.abs(found.mean[often] - means).max()


def test_without_error_the_score_is_believed():
    found = condition([2.0, 3.0], [10, 10], 0.5, 0.0)
    assert found.reliability[0] == 1 and found.ewe_sd[0] == 0
    # what is left of the class lies inside it
    assert np.all(np.abs(found.mean - [2.0, 3.0]) + found.width / 2 <= 0.25 + 1e-12)


def test_a_group_of_one_has_nothing_to_regress_to():
    found = condition([1.5], [1], 0.5, 0.2)
    assert found.mean[0] == 1.5
    # by hand: kept 0.25/0.29; 0.25 (1 − kept) + (1 − kept)² (0.29 + 1/48) = 0.2² + (0.04/0.29)²/48
    assert found.ewe_sd[0] ** 2 + found.shared_sd[0] ** 2 == pytest.approx(0.2**2 + (0.04 / 0.29) ** 2 / 48)


def test_where_everyone_has_the_same_score_all_is_taken_for_error():
    found = condition([2.5], [300], 0.5, 0.2)
    assert found.reliability[0] == 0 and found.ewe_sd[0] == 0 and found.mean[0] == 2.5
    assert found.shared_sd[0] == pytest.approx(np.sqrt((0.04 + 1 / 48) / 300))


def test_a_sessions_offset_is_shared_and_not_averaged_away():
    assert condition([2.0, 3.0], [5000, 5000], 0.5, 0.2, 0.1).shared_sd[0] == pytest.approx(0.1, abs=1e-3)


@pytest.mark.parametrize(("sd", "step"), [(0.16, 0.5), (0.25, 1.0)])
def test_expected_kappa_is_that_of_simulated_scorers(sd, step):
    rng = np.random.default_rng(3)
    true = rng.normal(3, 0.5, 200_000)
    read = [true + rng.normal(0, sd, len(true)) for _ in range(2)]
    first, second = (np.clip(np.round(each / step), 1 / step, 5 / step).astype(int) for each in read)
    simulated = cohen_kappa_score(first, second, weights="linear")
    assert expected_kappa(sd, 0.5, step) == pytest.approx(simulated, abs=0.01)


def test_the_scorers_error_follows_from_published_agreement():
    # Phythian 2012: 0.7 within a scorer in half scores; 0.4–0.7 between recalibrated scorers in full scores
    within, between = implied_scorer_sd(0.7, 0.5, 0.5), implied_scorer_sd(0.55, 0.5, 1.0)
    assert expected_kappa(within, 0.5, 0.5) == pytest.approx(0.7, abs=1e-4)
    assert 0.15 < within < 0.17 and 0.24 < between < 0.26
    ewe, session = published_errors()
    assert ewe**2 + session**2 == pytest.approx(between**2, rel=1e-3)
