"""Which ewes of a farm to put on its best grazing, so that most of them are ready."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linprog

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
MORE_PLACES = 10


@dataclass(frozen=True, slots=True)
class Allocation:
    """Ewes of each cell to put on best grazing, shape (n_cells,), and what that is worth on one farm.

    `ready` is the expected number of ewes ready, `without` the same with nobody on best grazing and
    `worth_of_ten_more` what ten more places would add. `first_come` lists cells in the order of a plain
    list, the largest gain for a place first, with their ewes; `list_agrees` says whether filling the places
    down that list does as well as the linear programme.
    """

    moved: Ints
    ready: float
    without: float
    worth_of_ten_more: float
    first_come: tuple[tuple[int, int], ...]
    list_agrees: bool


def allocate(ewes: Ints, chance_elsewhere: Floats, chance_best: Floats, places: int) -> Allocation:
    """Share out `places` on best grazing over score cells of one farm's groups.

    Parameters
    ----------
    ewes : ewes in each cell (one score of one group), those not scored included if they need a place too.
    chance_elsewhere, chance_best : chance that such a ewe is ready off and on best grazing. For a group
        that is on best grazing now, its ewes hold places too: give its chance if it were moved off.
    places : ewes that the farm's best grazing carries.

    Raises `ValueError` for a negative number of places or ewes.
    """
    if places < 0 or np.any(ewes < 0):
        raise ValueError("places and ewes cannot be negative")
    gain = chance_best - chance_elsewhere
    without = float(ewes @ chance_elsewhere)
    moved, added = _most_ready(ewes, gain, places)
    listed = _down_the_list(ewes, gain, places)
    return Allocation(
        moved=moved,
        ready=without + added,
        without=without,
        worth_of_ten_more=_most_ready(ewes, gain, places + MORE_PLACES)[1] - added,
        first_come=listed,
        list_agrees=bool(abs(sum(gain[cell] * number for cell, number in listed) - added) < 1e-6),
    )


def _most_ready(ewes: Ints, gain: Floats, places: int) -> tuple[Ints, float]:
    """Linear programme (HiGHS): ewes moved and the expected number more that are ready.

    Whole ewes and whole places give whole answers: every corner of this programme is whole.
    """
    if len(ewes) == 0:
        return np.zeros(0, np.intp), 0.0
    bounds = [(0.0, float(number)) for number in ewes]
    found = linprog(
        -gain, A_ub=np.ones((1, len(ewes))), b_ub=[float(places)], bounds=bounds, method="highs-ds"
    )
    if found.x is None:  # cannot happen with bounds of zero or more; HiGHS says why if it does
        raise ValueError(f"the places could not be shared out: {found.message}")
    moved = np.where(gain > 0, np.rint(found.x), 0).astype(np.intp)
    return moved, float(moved @ gain)


def _down_the_list(ewes: Ints, gain: Floats, places: int) -> tuple[tuple[int, int], ...]:
    """Cells in falling order of gain, filled until the places run out: (cell, ewes)."""
    listed = []
    for cell in np.argsort(-gain, kind="stable").tolist():
        number = min(int(ewes[cell]), places)
        if gain[cell] <= 0 or number == 0:
            continue
        listed.append((cell, number))
        places -= number
    return tuple(listed)
