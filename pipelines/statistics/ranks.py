"""How certain is a farm's place in a list: the exact distribution of its rank, without simulation."""

from __future__ import annotations

from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Floats: TypeAlias = NDArray[np.float64]
Ints: TypeAlias = NDArray[np.int64]

_POINTS, _POINT_WEIGHTS = (np.polynomial.legendre.leggauss(3) + np.array([[1.0], [0.0]])) / 2
_NEGLIGIBLE = 1e-9  # chance below which a cell of a farm's share is not followed up


def rank_chances(below: Floats, asked: Ints | None = None) -> Floats:
    """Chance of every rank for each farm `asked`, else for all, where rank 1 is the greatest share.

    Shape (n_asked, n_farms).

    `below` (n_farms, n_cells) is the chance that a farm's share lies at or under the upper edge of each
    cell of a grid common to all farms; its last column is 1. Farms are independent. Given where one farm
    stands, the number of others above it is a sum of independent yes-or-no events (Poisson-binomial).
    Farms in the same cell are as likely to stand in one order as in any other: exact for up to six farms
    in a cell, since three Gauss–Legendre points integrate a polynomial of degree five.
    Cost: farms asked × farms × cells.
    """
    in_cell = np.diff(below, axis=1, prepend=0.0)
    mass = (in_cell[:, :, None] * _POINT_WEIGHTS).reshape(len(below), -1)
    above = (1 - below[:, :, None] + in_cell[:, :, None] * _POINTS).reshape(len(below), -1).clip(0, 1)
    everyone = _number_above(above)
    if asked is not None:
        above, mass = above[asked], mass[asked]
    chances = np.zeros((len(mass), len(below)))
    farm, cell = np.nonzero(mass > _NEGLIGIBLE)
    # taking a farm out of the sum is stable from the end where its own chance is the smaller
    small = above[farm, cell] <= 0.5
    _without_small(everyone, above, mass, farm[small], cell[small], chances)
    _without_large(everyone, above, mass, farm[~small], cell[~small], chances)
    total: Floats = chances.sum(axis=1, keepdims=True)
    return chances / total


def rank_limits(chances: Floats, confidence: float) -> tuple[Ints, Ints]:
    """Lowest and highest rank of each farm's equal-tailed interval."""
    tail = (1 - confidence) / 2
    up_to = chances.cumsum(axis=1)
    low = (up_to < tail).sum(axis=1) + 1
    high = (up_to < 1 - tail).sum(axis=1) + 1
    return low, np.minimum(high, chances.shape[1])


def _number_above(above: Floats) -> Floats:
    """Chance that 0, 1, … all farms lie above each cell; (n_farms + 1, n_cells)."""
    farms, cells = above.shape
    chance = np.zeros((farms + 1, cells))
    chance[0] = 1
    for done, p in enumerate(above, 1):
        chance[1 : done + 1] = chance[1 : done + 1] * (1 - p) + chance[:done] * p
        chance[0] *= 1 - p
    return chance


def _without_small(
    everyone: Floats, above: Floats, mass: Floats, farm: Ints, cell: Ints, chances: Floats
) -> None:
    p, weight = above[farm, cell], mass[farm, cell]
    others = np.zeros_like(p)
    for number in range(chances.shape[1]):
        others = (everyone[number, cell] - p * others) / (1 - p)
        chances[:, number] += np.bincount(farm, weight * others, len(above))


def _without_large(
    everyone: Floats, above: Floats, mass: Floats, farm: Ints, cell: Ints, chances: Floats
) -> None:
    p, weight = above[farm, cell], mass[farm, cell]
    others = np.zeros_like(p)
    for number in range(chances.shape[1] - 1, -1, -1):
        others = (everyone[number + 1, cell] - (1 - p) * others) / p
        chances[:, number] += np.bincount(farm, weight * others, len(above))
