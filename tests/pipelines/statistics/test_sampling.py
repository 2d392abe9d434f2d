import numpy as np
import pytest
from scipy import stats

from pipelines.statistics.proportions import wilson
from pipelines.statistics.sampling import ewes_for_mean, ewes_for_share, share_precision


@pytest.mark.parametrize(("flock", "thin"), [(180, 18), (400, 80), (900, 90)])
def test_ewes_for_share_reach_their_precision_in_simulation(flock, thin):
    scored = ewes_for_share(thin / flock, 0.05, flock)
    found = np.random.default_rng(flock).hypergeometric(thin, flock - thin, scored, 40_000)
    within = np.abs(found / scored - thin / flock) <= 0.05 + 1e-9
    assert within.mean() >= 0.90 - 0.005


@pytest.mark.parametrize("share", [0.1, 0.3, 0.5])
def test_one_ewe_fewer_is_short_by_scipys_binomial(share):
    scored = ewes_for_share(share, 0.08)
    chance = [
        sum(stats.binom.pmf(k, n, share) for k in range(n + 1) if abs(k / n - share) <= 0.08 + 1e-9)
        for n in range(scored - 1, scored + 40)
    ]
    assert chance[0] < 0.90 and min(chance[1:]) >= 0.90


def test_a_small_flock_needs_fewer_ewes_and_never_more_than_it_has():
    assert ewes_for_share(0.2, 0.05, 100) < ewes_for_share(0.2, 0.05, 900) < ewes_for_share(0.2, 0.05)
    assert ewes_for_share(0.2, 0.001, 100) == 100


@pytest.mark.parametrize(("flock", "thin", "within"), [(300, 60, 0.05), (120, 24, 0.1), (47, 23, 0.2)])
def test_no_number_of_ewes_beyond_the_answer_is_short_again(flock, thin, within):
    # every number up to the whole flock, by sums of scipy's hypergeometric; the search stops far sooner
    answer = ewes_for_share(thin / flock, within, flock)

    def holds(scored):
        counts = np.arange(min(thin, scored) + 1)
        near = np.abs(counts / scored - thin / flock) <= within + 1e-9
        return stats.hypergeom.pmf(counts[near], flock, thin, scored).sum() >= 0.90 - 1e-9

    assert not holds(answer - 1) and all(holds(scored) for scored in range(answer, flock + 1))


def test_a_very_large_flock_needs_what_an_endless_one_does():
    assert ewes_for_share(0.2, 0.05, 50_000) == ewes_for_share(0.2, 0.05)


def test_a_flock_expected_to_have_none_thin_is_planned_for_as_many_as_the_precision():
    assert ewes_for_share(0, 0.05, 400) == ewes_for_share(0.05, 0.05, 400) > 20


def test_ewes_for_mean_are_about_the_25_of_the_reference():
    # sd 0.5 within ± 0.2: (1.96 × 0.5/0.2)² = 24.01 by the normal; Student's t asks for two more
    assert ewes_for_mean(0.5, 0.2, confidence=0.95) == 27
    assert stats.t.ppf(0.975, 26) * 0.5 / 27**0.5 <= 0.2 < stats.t.ppf(0.975, 25) * 0.5 / 26**0.5


def test_ewes_for_mean_reach_their_precision_in_simulation():
    random = np.random.default_rng(12)
    flock = random.normal(2.8, 0.5, 120)
    scored = ewes_for_mean(flock.std(ddof=1), 0.15, 120)
    found = np.array([random.choice(flock, scored, replace=False).mean() for _ in range(5000)])
    assert (np.abs(found - flock.mean()) <= 0.15).mean() >= 0.90


def test_a_whole_flock_is_always_enough():
    assert ewes_for_mean(0.8, 0.01, 30) == 30
    assert ewes_for_mean(0.0, 0.2) == 2


def test_precision_is_half_the_interval_that_is_shown():
    low, high = wilson(25, 100, population=300)
    assert share_precision(100, 0.25, 300) == pytest.approx((high - low) / 2)
    # the reference: 25 ewes give a share only within ± 16–20 points
    assert 0.15 < share_precision(25, 0.5) < share_precision(25, 0.5, confidence=0.95) < 0.20


@pytest.mark.parametrize(("share", "within"), [(-0.1, 0.05), (1.2, 0.05), (0.1, 0)])
def test_impossible_plans_are_refused(share, within):
    with pytest.raises(ValueError, match="precision above 0"):
        ewes_for_share(share, within)
