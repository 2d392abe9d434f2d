import numpy as np
import pytest
from scipy import stats

from pipelines.statistics.betabinomial import fit, posterior
from pipelines.statistics.standing import standing


def practice(random, farms):
    """Simulated farms: truth per flock, flock size, ewes scored (a third only 30) and thin among them."""
    flock = random.integers(80, 900, farms)
    ewes = np.where(random.random(farms) < 1 / 3, 30, flock // random.integers(1, 4, farms))
    thin_in_flock = random.binomial(flock, random.beta(2, 14, farms))
    return (
        thin_in_flock / flock,
        flock,
        ewes,
        random.hypergeometric(thin_in_flock, flock - thin_in_flock, ewes),
    )


def check_simulated_practices(practices):
    """Share of intervals that hold the truth (share, rank) and squared error over that of raw shares."""
    random = np.random.default_rng(5)
    share_held, rank_held, error, raw_error = [], [], 0.0, 0.0
    for _ in range(practices):
        truth, flock, ewes, thin = practice(random, 40)
        found = standing(thin, ewes, flock=flock)
        part = ewes < flock
        share_held.extend(((found.low <= truth + 1e-9) & (truth - 1e-9 <= found.high))[part])
        best = 1 + (truth[None, :] > truth[:, None]).sum(axis=1)
        worst = (truth[None, :] >= truth[:, None]).sum(axis=1)
        rank_held.extend((found.rank_low <= worst) & (best <= found.rank_high))
        error += ((found.adjusted - truth) ** 2).sum()
        raw_error += ((thin / ewes - truth) ** 2).sum()
    return np.mean(share_held), np.mean(rank_held), error / raw_error


def test_in_a_simulated_practice_intervals_cover_and_adjusting_saves_a_quarter_of_the_squared_error():
    share_held, rank_held, error = check_simulated_practices(25)
    assert 0.87 <= share_held <= 0.95
    assert 0.88 <= rank_held <= 0.97
    assert error < 0.75


@pytest.mark.slow
def test_in_many_simulated_practices_intervals_cover():
    share_held, rank_held, error = check_simulated_practices(500)
    assert 0.89 <= share_held <= 0.93
    assert 0.90 <= rank_held <= 0.96
    assert error < 0.75


def test_a_thirty_ewe_sample_neither_tops_nor_tails_the_list_by_luck():
    thin = [7, 0, 63, 48, 45, 36, 30, 24, 12]  # 23 % and 0 % of 30; 21 … 4 % of 300
    found = standing(thin, [30, 30] + [300] * 7)
    assert found.rank[2] == 1 and found.rank[8] == 9
    assert 0 < found.adjusted[1] < found.adjusted[0] < 7 / 30


def test_a_wholly_scored_flock_is_not_adjusted_and_has_no_uncertainty():
    found = standing([18, 3, 41], [180, 30, 200], flock=[180, 300, 200])
    assert (found.adjusted[0], found.low[0], found.high[0]) == (0.1, 0.1, 0.1)
    assert found.chance_too_many[0] == 0  # 10 % is not over 10 %
    assert found.chance_too_many[2] == 1
    assert 0 < found.chance_too_many[1] < 1


def test_the_rest_of_a_flock_follows_scipys_beta_binomial():
    thin, ewes = np.array([3.0, 20.0, 30.0]), np.array([30.0, 180.0, 200.0])
    a, b = posterior(fit(thin, ewes), thin, ewes)
    rest = stats.betabinom(70, a[0], b[0])
    found = standing(thin, ewes, flock=[100, 180, 200])
    assert found.low[0] == pytest.approx((3 + rest.ppf(0.05)) / 100)
    assert found.high[0] == pytest.approx((3 + rest.ppf(0.95)) / 100)
    assert found.adjusted[0] == pytest.approx((3 + rest.mean()) / 100)


def test_the_chance_of_too_many_agrees_with_a_dense_sum_over_the_prior():
    # by scipy's beta-binomial over 200 × 200 priors: the mean share uniform, and uniform the part of its own
    # figure that a farm of 20 ewes keeps (Daniels 1999), 20 / (20 + weight)
    thin, ewes, flock = np.array([3, 12, 7]), np.array([30, 60, 90]), np.array([100, 400, np.nan])
    middles = (np.arange(200) + 0.5) / 200
    mean, kept = np.meshgrid(middles, middles)
    weight = 20 * (1 - kept) / kept
    a, b = mean * weight, (1 - mean) * weight
    likely = np.prod([stats.betabinom.pmf(t, n, a, b) for t, n in zip(thin, ewes, strict=True)], axis=0)
    likely /= likely.sum()
    # more than 10 of 100 with 3 of 30 seen: more than 7 of 70; more than 40 of 400 with 12 of 60: 28 of 340
    first = 1 - sum(stats.betabinom.pmf(k, 70, a + 3, b + 27) for k in range(8))
    second = 1 - sum(stats.betabinom.pmf(k, 340, a + 12, b + 48) for k in range(29))
    third = stats.beta.sf(0.1, a + 7, b + 83)
    expected = [(tail * likely).sum() for tail in (first, second, third)]
    assert standing(thin, ewes, flock=flock).chance_too_many == pytest.approx(expected, abs=5e-4)


def test_an_unknown_flock_is_endless_and_a_lagging_register_is_overruled():
    found = standing([3, 20], [30, 190], flock=[np.nan, 180])
    endless = standing([3, 20], [30, 190])
    assert found.adjusted[0] == endless.adjusted[0]
    assert found.adjusted[1] == pytest.approx(20 / 190)


def test_one_farm_alone_has_rank_one():
    found = standing([3], [30])
    assert (found.rank[0], found.rank_low[0], found.rank_high[0]) == (1, 1, 1)
    assert 0.08 < found.adjusted[0] < 0.14


def test_farms_with_the_same_figures_share_their_rank():
    found = standing([0] * 6, [30] * 6)
    assert set(found.rank) == {1} and set(found.rank_low) == {1} and set(found.rank_high) == {6}


def test_order_of_farms_does_not_matter():
    forward, back = standing([3, 20, 9], [30, 180, 100]), standing([9, 20, 3], [100, 180, 30])
    assert np.allclose(forward.adjusted, back.adjusted[::-1], rtol=1e-9)
    assert forward.rank.tolist() == back.rank[::-1].tolist()


@pytest.mark.parametrize(("thin", "ewes"), [([], []), ([1], [0]), ([5], [4]), ([-1], [4])])
def test_impossible_counts_are_refused(thin, ewes):
    with pytest.raises(ValueError, match="at least one ewe scored"):
        standing(thin, ewes)
