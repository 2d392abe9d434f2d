"""How likely ewes of a score cell are to be above an edge on a later day, in closed form."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from pipelines.readiness.condition import Condition
from pipelines.readiness.groups import Floats, Ints
from pipelines.readiness.quadrature import normal_integrals

SMALLEST_SD = 1e-6  # score; keeps the limit of no error and no time free of divisions by zero


@dataclass(frozen=True, slots=True)
class Reach:
    """Where ewes of each cell are on the day: their condition, the gain of their group at each point, shape
    (n_groups, k), and the spread of one ewe about both, shape (n_groups,)."""

    condition: Condition
    gain: Floats
    sd: Floats


def combined(ewe_sd: Floats, own: Floats | float, shared: Floats, again: float) -> Floats:
    """Spread of one ewe about what is expected: condition, own pace, shared error, and a new reading."""
    return np.maximum(np.sqrt(ewe_sd**2 + own**2 + shared + again**2), SMALLEST_SD)


def beyond(group: Ints, rows: slice, reach: Reach, edge: Floats) -> tuple[Floats, Floats]:
    """Chance of being above the edge per cell and point, and its slope against a shift of the group."""
    scale = 1 / reach.sd[group, None]
    width = reach.condition.width[rows, None]
    half = 0.5 * width * scale
    centre = (reach.condition.mean[rows, None] + (reach.gain - edge[:, None])[group]) * scale
    above, slope = _averaged(centre, half)
    above /= 2 * half
    slope /= width
    return above, slope


def _averaged(z: Floats, half: Floats) -> tuple[Floats, Floats]:
    """Φ integrated over z ± half, and the rise of Φ between the two ends."""
    upper, upper_slope = normal_integrals(z + half)
    lower, lower_slope = normal_integrals(z - half)
    upper -= lower
    upper_slope -= lower_slope
    return upper, upper_slope
