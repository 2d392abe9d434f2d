import numpy as np
import pytest
from scipy.stats import norm

from pipelines.readiness.gain import Rates, days_per_score, published
from pipelines.readiness.learning import learned_rates
from pipelines.settings import DaysPerScore

Z = norm.ppf([0.05, 0.5, 0.95])


@pytest.mark.parametrize(
    ("grazing", "slow", "usual", "fast"), [("best", 70, 52, 40), ("ordinary", 120, 75, 50)]
)
def test_days_per_score_have_exactly_the_published_quantiles(grazing, slow, usual, fast):
    assert 1 / published([grazing]).at(Z)[0] == pytest.approx([slow, usual, fast], rel=1e-12)


def test_the_log_of_the_days_is_normal_on_either_side_of_the_median():
    logs = np.log(1 / published(["best"]).at(np.array([-2.0, -1, 0, 1, 2]))[0])
    below, above = np.diff(logs)[:2], np.diff(logs)[2:]
    assert below[0] == pytest.approx(below[1]) and above[0] == pytest.approx(above[1])
    assert below[0] != pytest.approx(above[0])


def test_holding_changes_nothing_on_average():
    rates = published(["holding"]).at(np.array([-1.0, 0, 1]))[0]
    assert rates[1] == 0 and rates[0] == -rates[2] < 0


def test_hard_going_loses_and_never_faster_than_the_cap():
    rates = published(["hard"], cap=1 / 60).at(np.linspace(-8, 3, 50))[0]
    assert np.all(rates < 0) and rates.min() == -1 / 60


def test_an_advisers_own_days_replace_the_published_ones():
    rates = published(["ordinary"], {"ordinary": DaysPerScore(90, 60, 150)})
    assert [part[0] for part in days_per_score(rates)] == pytest.approx([90, 60, 150])


def test_days_per_score_of_what_does_not_gain_are_infinite():
    assert [part[0] for part in days_per_score(published(["hard"]))] == [np.inf] * 3


def test_an_unknown_grazing_class_is_named():
    with pytest.raises(ValueError, match="moor"):
        published(["moor"])


def test_a_rate_with_crossed_quantiles_is_refused():
    one = np.ones(1)
    with pytest.raises(ValueError, match="low ≤ median ≤ high"):
        Rates(one, 2 * one, 3 * one, one, one)


def test_nothing_learned_gives_the_published_rates_back():
    rates = published(["best", "ordinary", "holding", "hard"])
    same = learned_rates(rates, np.zeros(4), np.ones(4))
    assert np.allclose([same.low, same.median, same.high], [rates.low, rates.median, rates.high], rtol=1e-12)
