import itertools

import numpy as np
import pytest
from scipy import stats

from pipelines.statistics.stopping import StoppingRule, outcomes, stopping_rule


def walk(rule, order):
    """Verdict and number scored when ewes (1 thin, 0 not) come in this order."""
    thin = 0
    for scored, ewe in enumerate(order, 1):
        thin += ewe
        verdict = rule.verdict(scored, thin)
        if verdict != "go on":
            return verdict, scored
    return "go on", len(order)


def test_outcomes_equal_an_enumeration_of_every_order():
    rule = stopping_rule(0.25, 12, most=12, error=0.15)
    orders = [[int(place in thin) for place in range(12)] for thin in itertools.combinations(range(12), 4)]
    ends = [walk(rule, order) for order in orders]
    found = outcomes(rule, 4)
    assert found.over == pytest.approx(np.mean([verdict == "over" for verdict, _ in ends]))
    assert found.under == pytest.approx(np.mean([verdict == "under" for verdict, _ in ends]))
    assert found.scored == pytest.approx(np.mean([scored for _, scored in ends]))


def test_outcomes_of_an_endless_flock_equal_an_enumeration():
    rule = stopping_rule(0.2, None, most=10, error=0.1)
    over = sum(
        0.3 ** sum(order) * 0.7 ** (10 - sum(order))
        for order in itertools.product([0, 1], repeat=10)
        if walk(rule, order)[0] == "over"
    )
    assert outcomes(rule, 0.3).over == pytest.approx(over)


@pytest.mark.parametrize("flock", [60, 180, 400])
@pytest.mark.parametrize("limit", [0.10, 0.25])
def test_neither_error_exceeds_five_per_cent_at_any_number_of_thin_ewes(flock, limit):
    rule = stopping_rule(limit, flock, most=flock)
    allowed = int(limit * flock + 1e-9)
    assert max(outcomes(rule, thin).over for thin in range(0, allowed + 1, 3)) <= 0.05
    assert outcomes(rule, allowed).over <= 0.05
    assert max(outcomes(rule, thin).under for thin in range(allowed + 1, flock, flock // 12)) <= 0.05


def errors_in(flock, limit, endless):
    """Both errors of the endless flock's rule in a flock of this size: exact, every path enumerated."""
    most = min(flock, len(endless.over) - 1)
    rule = StoppingRule(limit, flock, endless.over[: most + 1], endless.under[: most + 1])
    allowed = int(limit * flock + 1e-9)
    return outcomes(rule, allowed).over, outcomes(rule, allowed + 1).under


@pytest.mark.parametrize("limit", [0.05, 0.10, 0.20])
def test_the_rule_of_the_phone_made_for_an_endless_flock_holds_in_every_finite_one(limit):
    endless = stopping_rule(limit, None, most=300)
    for flock in (*range(1, 60, 4), 97, 150, 299, 300, 301, 450, 1200):
        assert max(errors_in(flock, limit, endless)) <= 0.05, flock


@pytest.mark.slow
@pytest.mark.parametrize("limit", [0.05, 0.10, 0.15, 0.20, 0.30])
def test_the_rule_of_the_phone_holds_in_flocks_of_every_size(limit):
    endless = stopping_rule(limit, None, most=300)
    worst = max((max(errors_in(flock, limit, endless)), flock) for flock in range(1, 1001))
    assert worst[0] <= 0.05, worst


def test_fewer_thin_ewes_are_never_more_often_called_too_many():
    # so that proving the flock nearest the limit proves all
    rule = stopping_rule(0.10, None, most=300)
    rule = StoppingRule(0.10, 400, rule.over, rule.under)
    over = [outcomes(rule, thin).over for thin in range(0, 401, 8)]
    under = [outcomes(rule, thin).under for thin in range(0, 401, 8)]
    assert min(np.diff(over)) > -1e-12 and max(np.diff(under)) < 1e-12


def test_error_rates_hold_in_simulation():
    random = np.random.default_rng(13)
    rule = stopping_rule(0.10, 180, most=180)
    at_limit = np.array([1] * 18 + [0] * 162)
    wrong = np.mean([walk(rule, random.permutation(at_limit))[0] == "over" for _ in range(2000)])
    assert wrong == pytest.approx(outcomes(rule, 18).over, abs=0.015)
    assert wrong < 0.065


def test_a_whole_flock_is_always_decided_and_a_clear_one_soon():
    rule = stopping_rule(0.10, 180, most=180)
    assert outcomes(rule, 18).undecided == pytest.approx(0, abs=1e-12)
    assert outcomes(rule, 54).scored < 25  # 30 % thin: within a seventh of the flock
    assert outcomes(rule, 54).over > 0.999


def test_every_look_has_the_same_level_by_scipys_hypergeometric():
    rule = stopping_rule(0.10, 180, most=100)
    rarest = [stats.hypergeom.sf(rule.over[n] - 1, 180, 18, n) for n in range(3, 101)]
    next_over = [stats.hypergeom.sf(rule.over[n] - 2, 180, 18, n) for n in range(3, 101)]
    next_under = [stats.hypergeom.cdf(rule.under[n] + 1, 180, 19, n) for n in range(3, 101)]
    assert max(rarest) < min(next_over + next_under)
    assert max(rarest) < 0.05  # looking often costs: each look is stricter than a single test


def test_a_race_cut_short_may_stay_undecided():
    found = outcomes(stopping_rule(0.10, 900, most=60), 90)
    assert found.undecided > 0.8
    assert found.over + found.under + found.undecided == pytest.approx(1)


def test_verdicts_read_the_limits():
    rule = StoppingRule(0.1, None, over=np.array([1, 2, 2]), under=np.array([-1, -1, 0]))
    assert [rule.verdict(2, 2), rule.verdict(2, 0), rule.verdict(2, 1)] == ["over", "under", "go on"]


@pytest.mark.parametrize(("scored", "thin"), [(3, 1), (2, 3), (1, -1)])
def test_ewes_outside_the_rule_are_refused(scored, thin):
    rule = StoppingRule(0.1, None, over=np.array([1, 2, 2]), under=np.array([-1, -1, 0]))
    with pytest.raises(ValueError, match="covers up to 2 ewes"):
        rule.verdict(scored, thin)
