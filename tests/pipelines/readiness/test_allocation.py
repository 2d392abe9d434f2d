from itertools import product

import numpy as np
import pytest

from pipelines.readiness.allocation import allocate


def best_by_trying_all(ewes, gain, places):
    """Every way to put whole ewes of each cell on the best grazing."""
    ways = product(*(range(number + 1) for number in ewes))
    return max(sum(g * n for g, n in zip(gain, way, strict=True)) for way in ways if sum(way) <= places)


@pytest.mark.parametrize("seed", range(12))
def test_the_linear_programme_does_as_well_as_trying_every_way(seed):
    rng = np.random.default_rng(seed)
    ewes = rng.integers(0, 6, 5)
    elsewhere, best = rng.random(5), rng.random(5)
    places = int(rng.integers(0, 18))
    found = allocate(ewes, elsewhere, best, places)
    wanted = best_by_trying_all(ewes.tolist(), (best - elsewhere).tolist(), places)
    assert found.ready - found.without == pytest.approx(wanted, abs=1e-9)
    assert found.moved.sum() <= places and np.all(found.moved <= ewes) and found.list_agrees


def test_places_go_where_they_change_most_worked_by_hand():
    # two mobs: the thinnest (0.1 → 0.2) gain less than those nearer (0.3 → 0.8); right ewes gain nothing
    found = allocate(np.array([20, 30, 40]), np.array([0.1, 0.3, 0.9]), np.array([0.2, 0.8, 0.9]), 35)
    assert found.moved.tolist() == [5, 30, 0]
    assert found.without == pytest.approx(2 + 9 + 36)
    assert found.ready == pytest.approx(2 + 9 + 36 + 0.5 + 15)
    assert found.worth_of_ten_more == pytest.approx(1.0)
    assert found.first_come == ((1, 30), (0, 5))


def test_no_place_and_no_ewe_leave_things_as_they_are():
    assert allocate(np.array([3]), np.array([0.2]), np.array([0.9]), 0).ready == pytest.approx(0.6)
    nobody = np.zeros(0)
    assert allocate(nobody.astype(int), nobody, nobody, 10).ready == 0


def test_ewes_that_best_grazing_would_make_fat_stay_away():
    assert allocate(np.array([9]), np.array([0.9]), np.array([0.5]), 9).moved.tolist() == [0]


def test_negative_places_are_refused():
    with pytest.raises(ValueError, match="negative"):
        allocate(np.array([1]), np.array([0.5]), np.array([0.6]), -1)
