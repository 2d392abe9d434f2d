import itertools
import math

import numpy as np
import pytest
from scipy import stats

from pipelines import reference
from pipelines.statistics.surveys import (
    affected,
    chance_all_negative,
    chance_all_pools_negative,
    ewes_to_examine,
    ewes_to_examine_formula,
    prevalence_excluded,
)

# 95 % columns at 5 % and 10 % prevalence, exact, as in the Cannon and Roe table (derived)
FIVE_PER_CENT = {100: 45, 200: 51, 300: 54, 400: 55, 500: 56, 1000: 57, 2000: 58, None: 59}
TEN_PER_CENT = {50: 22, 100: 25, 200: 27, 300: 28, 1000: 29, None: 29}


@pytest.mark.parametrize(
    ("flock", "prevalence", "confidence", "printed"),
    [
        (200, 0.05, 0.95, 51),  # University of Guelph
        (1600, 0.01, 0.99, 399),  # recalculation of Cannon and Roe 1982
        (None, 0.20, 0.95, 14),
        *((flock, 0.05, 0.95, size) for flock, size in FIVE_PER_CENT.items()),
        *((flock, 0.10, 0.95, size) for flock, size in TEN_PER_CENT.items()),
    ],
)
def test_survey_sizes_are_the_published_ones(flock, prevalence, confidence, printed):
    assert ewes_to_examine(flock, prevalence, confidence) == printed


@pytest.mark.parametrize("cell", reference.figures("survey_sizes"), ids=lambda cell: str(dict(cell.keys)))
def test_every_cell_of_the_reference_is_met(cell):
    flock = None if cell.keys["flock"] == "endless" else int(cell.keys["flock"])
    asked = [float(cell.keys[name]) for name in ("prevalence", "confidence", "sensitivity")]
    size = ewes_to_examine_formula if "formula" in cell.source else ewes_to_examine
    assert size(flock, *asked) == cell.value


@pytest.mark.parametrize("flock", [20, 57, 180, 400])
@pytest.mark.parametrize("sensitivity", [1.0, 0.9, 0.6])
def test_a_sample_finds_as_often_as_promised_in_simulation(flock, sensitivity):
    number = affected(flock, 0.2)
    size = ewes_to_examine(flock, 0.2, 0.95, sensitivity)
    random = np.random.default_rng(flock)
    hits = random.hypergeometric(number, flock - number, size, 40_000)
    assert (random.binomial(hits, sensitivity) > 0).mean() >= 0.95 - 0.004


@pytest.mark.parametrize(("flock", "prevalence"), [(60, 0.1), (333, 0.05), (40, 0.01)])
def test_survey_size_is_the_smallest_by_scipys_hypergeometric(flock, prevalence):
    size = ewes_to_examine(flock, prevalence)
    number = max(1, math.floor(flock * prevalence))
    assert (
        stats.hypergeom.pmf(0, flock, number, size) <= 0.05 < stats.hypergeom.pmf(0, flock, number, size - 1)
    )


def test_an_imperfect_test_needs_more_ewes_than_the_exact_sum_by_the_usual_formula():
    # N = 200, 5 %, sensitivity 0.9: 58 by MacDiarmid's formula, 57 exact (derived)
    assert ewes_to_examine_formula(200, 0.05, sensitivity=0.9) == 58
    assert ewes_to_examine(200, 0.05, sensitivity=0.9) == 57


def test_chance_of_missing_equals_a_sum_over_affected_ewes_in_the_sample():
    expected = sum(stats.hypergeom.pmf(found, 200, 10, 57) * 0.1**found for found in range(11))
    assert chance_all_negative(57, 200, 0.05, 0.9) == pytest.approx(expected)
    assert chance_all_negative(12, None, 0.25, 0.8) == pytest.approx(0.8**12)


def test_a_poor_test_may_never_reach_the_confidence():
    assert ewes_to_examine(50, 0.02, sensitivity=0.6) is None


def test_affected_ewes_are_rounded_down_but_never_to_none():
    assert [affected(200, 0.05), affected(130, 0.05), affected(30, 0.01), affected(180, 0.1)] == [
        10,
        6,
        1,
        18,
    ]


def test_twelve_negatives_exclude_only_a_prevalence_of_22_per_cent():
    assert prevalence_excluded(12, None) == pytest.approx(1 - 0.05 ** (1 / 12))
    assert 0.22 <= prevalence_excluded(12, None) < 0.2210  # the reference: at least 22 %


@pytest.mark.parametrize("flock", [12, 25, 60, 400])
def test_prevalence_excluded_is_the_smallest_by_scipys_hypergeometric(flock):
    number = round(prevalence_excluded(12, flock) * flock)
    assert stats.hypergeom.pmf(0, flock, number, 12) <= 0.05
    assert number == 1 or stats.hypergeom.pmf(0, flock, number - 1, 12) > 0.05


def test_too_few_negatives_of_a_poor_test_exclude_nothing():
    assert prevalence_excluded(1, 60, sensitivity=0.5) is None
    assert prevalence_excluded(0, None) is None


def test_pools_of_one_are_single_samples():
    assert chance_all_pools_negative(12, 1, 60, 0.2, 0.9) == pytest.approx(
        chance_all_negative(12, 60, 0.2, 0.9)
    )
    assert chance_all_pools_negative(12, 1, None, 0.2, 0.9) == pytest.approx((1 - 0.18) ** 12)


def test_pools_equal_an_enumeration_of_every_sample():
    # flock of 7 with 2 affected, two pools of two: every ordered choice of four ewes
    missed = []
    for sample in itertools.permutations(range(7), 4):
        positive = sum(any(ewe < 2 for ewe in pool) for pool in (sample[:2], sample[2:]))
        missed.append(0.3**positive)
    assert chance_all_pools_negative(2, 2, 7, 2 / 7, 0.7) == pytest.approx(np.mean(missed))


def test_a_large_flock_pools_like_an_endless_one():
    near = chance_all_pools_negative(6, 10, 100_000, 0.05, 0.73)
    assert near == pytest.approx((1 - 0.73 * (1 - 0.95**10)) ** 6, rel=0.01)


def test_one_ewe_is_enough_where_every_ewe_has_it_and_the_test_never_misses():
    assert ewes_to_examine(None, 1.0) == ewes_to_examine(30, 1.0) == 1


def test_more_ewes_than_the_flock_cannot_be_examined():
    with pytest.raises(ValueError, match="31 of 30 ewes"):
        chance_all_negative(31, 30, 0.1)
    with pytest.raises(ValueError, match="40 of 30 ewes"):
        chance_all_pools_negative(4, 10, 30, 0.1)
