"""Fixed points and weights for the shared growth rate, and the normal integrals, from one table each."""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import eigh_tridiagonal
from scipy.special import ndtr, roots_legendre

Floats = NDArray[np.float64]
POINTS_PER_HALF = 10  # enough for 1e-6 up to 100 days at the default spread between ewes
_PER_UNIT = 1024
_REACH = 9.0  # beyond nine standard deviations the integral is 0 or its argument to 1e-17


@cache
def nodes(per_half: int = POINTS_PER_HALF) -> tuple[Floats, Floats]:
    """Standard normal points, ascending, and their weights (sum 1); each half is integrated on its own.

    A two-piece distribution has a kink at its median, where a rule over the whole line would lose its
    accuracy. Gauss's rule for the half normal: recurrence by the discretised Stieltjes procedure, points as
    eigenvalues (Golub & Welsch 1969, doi:10.1090/S0025-5718-69-99647-1).
    """
    x, weight = roots_legendre(400)
    x = 6 * (x + 1)
    weight = weight * np.exp(-0.5 * x**2)
    weight /= weight.sum()
    diagonal, beside = np.empty(per_half), np.empty(per_half)
    previous, current = np.zeros_like(x), np.ones_like(x)
    for degree in range(per_half):
        diagonal[degree] = weight @ (x * current**2)
        raised = (x - diagonal[degree]) * current - (beside[degree - 1] if degree else 0) * previous
        beside[degree] = np.sqrt(weight @ raised**2)
        previous, current = current, raised / beside[degree]
    points, vectors = eigh_tridiagonal(diagonal, beside[:-1])
    half = vectors[0] ** 2 / 2
    return np.concatenate([-points[::-1], points]), np.concatenate([half[::-1], half])


@cache
def _table() -> tuple[Floats, Floats]:
    """Integral of the normal distribution function at steps of 1/1024, and its forward differences."""
    z = np.arange(-_REACH, _REACH + 2 / _PER_UNIT, 1 / _PER_UNIT)
    integral = z * ndtr(z) + np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi)
    return integral, np.append(np.diff(integral), 0.0)


def normal_integrals(z: Floats) -> tuple[Floats, Floats]:
    """∫Φ up to `z`, and Φ(z), by linear interpolation in a table.

    The first is right to 5e-8, the second to 2e-4 (it serves slopes only). Several times quicker than
    `scipy.special.ndtr`, which is what makes a projection cost no more than counting its scores.
    """
    integral, differences = _table()
    inside = np.minimum(np.maximum(z, -_REACH), _REACH)
    beyond = z - inside
    inside += _REACH
    inside *= _PER_UNIT
    place = inside.astype(np.intp)
    inside -= place
    step = differences.take(place, mode="clip")
    inside *= step
    inside += integral.take(place, mode="clip")
    inside += np.maximum(beyond, 0.0, out=beyond)
    step *= _PER_UNIT
    return inside, step
