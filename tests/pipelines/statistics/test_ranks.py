import itertools
import math

import numpy as np
import pytest
from scipy import stats

from pipelines.statistics.ranks import rank_chances, rank_limits


def by_enumeration(mass):
    """Every combination of cells; farms in one cell stand in every order equally often."""
    farms, cells = mass.shape
    chances = np.zeros((farms, farms))
    for where in itertools.product(range(cells), repeat=farms):
        weight = math.prod(mass[farm, cell] for farm, cell in enumerate(where))
        for farm, cell in enumerate(where):
            above = sum(other > cell for other in where)
            level = sum(other == cell for other in where)
            chances[farm, above : above + level] += weight / level
    return chances


@pytest.mark.parametrize(("farms", "cells"), [(2, 6), (4, 5), (6, 3)])
def test_rank_chances_equal_enumeration_ties_included(farms, cells):
    mass = np.random.default_rng(farms).dirichlet(np.ones(cells), farms)
    assert np.allclose(rank_chances(mass.cumsum(axis=1)), by_enumeration(mass), atol=1e-12)


def test_farms_asked_for_have_the_chances_that_enumeration_gives_them():
    mass = np.random.default_rng(3).dirichlet(np.ones(4), 5)
    found = rank_chances(mass.cumsum(axis=1), np.array([4, 1]))
    assert np.allclose(found, by_enumeration(mass)[[4, 1]], atol=1e-12)


def test_known_shares_have_certain_ranks():
    below = np.array([[0, 0, 1], [1, 1, 1], [0, 1, 1]], dtype=float)
    assert np.allclose(rank_chances(below), [[1, 0, 0], [0, 0, 1], [0, 1, 0]])


def test_many_farms_keep_chances_that_add_to_one_by_farm_and_by_rank():
    centre = np.random.default_rng(5).beta(2, 14, 300)[:, None]
    below = stats.beta.cdf(np.linspace(0, 1, 151)[1:] ** 2, 60 * centre, 60 * (1 - centre))
    chances = rank_chances(below)
    assert chances.min() > -1e-9
    assert np.allclose(chances.sum(axis=0), 1, atol=1e-6)


def test_rank_limits_cut_five_per_cent_at_either_end():
    chances = np.array([[0.04, 0.02, 0.90, 0.02, 0.02], [0.96, 0.01, 0.01, 0.01, 0.01]])
    low, high = rank_limits(chances, 0.90)
    assert low.tolist() == [2, 1] and high.tolist() == [3, 1]
