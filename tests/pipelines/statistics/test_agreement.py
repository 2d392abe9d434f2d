import numpy as np
import pytest
from sklearn.metrics import cohen_kappa_score

from pipelines.statistics.agreement import crossed, limits_of_agreement, weighted_kappa

# SAS/STAT User's Guide, PROC FREQ, 'Agreement Study' (two dermatologists, 88 patients): counts read there
SKIN = [[10, 4, 1, 0], [5, 10, 12, 2], [2, 4, 12, 5], [0, 2, 6, 13]]
# Penn State STAT 509, lesson 18 (two radiologists, 85 mammograms; Boyd et al. 1982): counts read there
MAMMOGRAMS = [[21, 12, 0, 0], [4, 17, 1, 0], [3, 9, 15, 2], [0, 0, 0, 1]]


def pairs(table, step=0.5):
    first, second = np.nonzero(np.array(table))
    times = np.array(table)[first, second]
    return 2 + step * np.repeat(first, times), 2 + step * np.repeat(second, times)


def test_kappa_and_its_interval_are_those_printed_for_the_skin_condition_study():
    # weighted kappa 0.5082, 95 % 0.3798 to 0.6366, as that guide's output prints them (from memory)
    found = weighted_kappa(*pairs(SKIN), "linear", confidence=0.95)
    assert (found.value, found.low, found.high) == pytest.approx((0.5082, 0.3798, 0.6366), abs=5e-5)
    assert found.ewes == 88


@pytest.mark.parametrize(("weights", "printed"), [("linear", 0.5684), ("quadratic", 0.6714)])
def test_kappa_is_that_printed_for_the_mammograms(weights, printed):
    # Stata manual [R] kappa, kap with wgt(w) and wgt(w2) on the same 85 readings (from memory)
    assert weighted_kappa(*pairs(MAMMOGRAMS), weights).value == pytest.approx(printed, abs=5e-5)


@pytest.mark.parametrize("weights", ["linear", "quadratic"])
@pytest.mark.parametrize("step", [0.25, 0.5, 1])
def test_kappa_agrees_with_scikit_learn(weights, step):
    random = np.random.default_rng(9)
    true = random.normal(3, 0.6, 141)
    first, second = ((np.rint(true / step + random.normal(0, 0.6, 141)) * step).clip(1, 5) for _ in range(2))
    places = np.rint(first / step), np.rint(second / step)
    every = np.arange(min(map(np.min, places)), max(map(np.max, places)) + 1)
    expected = cohen_kappa_score(*places, labels=every, weights=weights)
    assert weighted_kappa(first, second, weights, step=step).value == pytest.approx(expected)


def test_kappa_interval_covers_in_simulation():
    random = np.random.default_rng(10)
    share = (np.array(SKIN) / 88).ravel()
    true = weighted_kappa(*pairs(SKIN), "quadratic").value
    held = 0
    for _ in range(400):
        found = weighted_kappa(*pairs(random.multinomial(150, share).reshape(4, 4)), "quadratic")
        held += found.low <= true <= found.high
    assert 0.86 <= held / 400 <= 0.94


def test_perfect_agreement_is_one():
    found = weighted_kappa([2, 2.5, 3], [2, 2.5, 3], "linear")
    assert (found.value, found.low, found.high) == (1, 1, 1)


@pytest.mark.parametrize(
    ("first", "second", "words"),
    [
        ([], [], "at least one ewe"),
        ([2.5], [2.5], "only one score"),
        ([2.25, 3], [2, 3], "no multiple of 0.5"),
    ],
)
def test_kappa_says_why_it_cannot_be_worked_out(first, second, words):
    with pytest.raises(ValueError, match=words):
        weighted_kappa(first, second, "linear")


def test_crossing_keeps_scores_that_nobody_gave_in_between():
    assert crossed([2, 2], [2, 3], 0.5).tolist() == [[1, 0, 1], [0, 0, 0], [0, 0, 0]]


def test_limits_of_agreement_are_those_of_bland_and_altman():
    # Bland and Altman 1986, peak flow, first readings: mean −2.1, sd 38.8 l/min (from memory)
    wright = [494, 395, 516, 434, 476, 557, 413, 442, 650, 433, 417, 656, 267, 478, 178, 423, 427]
    mini = [512, 430, 520, 428, 500, 600, 364, 380, 658, 445, 432, 626, 260, 477, 259, 350, 451]
    found = limits_of_agreement(wright, mini, confidence=0.95)
    assert found.mean == pytest.approx(-2.1, abs=0.05)
    assert (found.lower, found.upper) == pytest.approx((-2.1 - 1.96 * 38.8, -2.1 + 1.96 * 38.8), abs=0.1)
    assert (found.mean_low, found.mean_high) == pytest.approx((-22.0, 17.8), abs=0.1)


def test_limits_of_agreement_need_two_ewes():
    with pytest.raises(ValueError, match="at least two ewes"):
        limits_of_agreement([2.5], [3])
