"""The share of a group that will be inside the tupping band on `ready_by`, with its interval.

A ewe's condition on the day is her condition when scored, plus days × the rate her group shares, plus what
she gains more or less than her group. The first and last are summed in closed form; the shared rate is
integrated over fixed points. So the same input gives the same answer, and the cost is that of the distinct
score cells, however many ewes they hold.

Ready means: the score an exact scorer would give on `ready_by`, on the step in use, is inside the band. On a
half-score scale 2.5 stands for 2.25 to 2.75, so a band from 2.5 begins at a condition of 2.25; and one from
2.75, which no half score meets, begins at 2.75, since 3 is the first score inside it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pipelines.readiness.condition import Condition, true_condition
from pipelines.readiness.groups import Cells, Floats, Groups, Ints
from pipelines.readiness.mixture import averaged, quantiles
from pipelines.readiness.quadrature import nodes, normal_integrals
from pipelines.readiness.timing import days_needed, last_useful_date, why_not

__all__ = [
    "Cells",
    "Groups",
    "Predicted",
    "Projection",
    "days_needed",
    "last_useful_date",
    "project",
    "project_together",
    "why_not",
]

SMALLEST_SD = 1e-6  # score; keeps the limit of no error and no time free of divisions by zero
CELLS_AT_ONCE = 2000  # a few hundred kilobytes of scratch: what stays in a processor's cache


@dataclass(frozen=True, slots=True)
class Predicted:
    """Distribution of the share ready: a mixture of normals, one for each point of the shared rate.

    `share` and `sd` have shape (n_groups, k), `weight` (k,).
    """

    share: Floats
    sd: Floats
    weight: Floats


@dataclass(frozen=True, slots=True)
class Projection:
    """Expected share ready with its interval, shape (n_groups,); `chance` of one ewe, shape (n_cells,).

    `session_part` is what the session's offset adds to the spread of `predicted`, signed by its direction,
    shape (n_groups, k): groups scored on one day share it.
    """

    ready_share: Floats
    low: Floats
    high: Floats
    chance: Floats
    predicted: Predicted
    session_part: Floats


def project(
    cells: Cells, groups: Groups, confidence: float = 0.90, *, recorded: Floats | None = None
) -> Projection:
    """Expected share ready in each group, its interval, and the chance of one ewe in each cell.

    The interval carries the scorer's error, the uncertain rate, the finite number of ewes and those not
    scored. With `recorded` the answer is the share that a session of so many ewes on the day would write
    down, with the scorer's errors once more (to be compared with a later session): shape (n_groups,).

    Raises `ValueError` when a group has no ewes or a number is missing: ask `why_not` first.
    """
    starts = _checked(cells, groups)
    scorer_sd, offset_sd = groups.errors()
    known_sd = offset_sd if groups.offset is None else groups.offset.sd
    condition = true_condition(starts, cells.score, cells.ewes, groups.step, scorer_sd, known_sd)
    predicted, chance, session_part = _predict(cells, groups, starts, condition, recorded)
    return _projection(predicted, chance, session_part, confidence)


def _projection(predicted: Predicted, chance: Floats, session_part: Floats, confidence: float) -> Projection:
    expected = averaged(predicted.share, predicted.weight)
    low, high = quantiles(predicted.share, predicted.sd, predicted.weight, confidence)
    return Projection(
        expected, np.minimum(low, expected), np.maximum(high, expected), chance, predicted, session_part
    )


def project_together(
    projection: Projection, flock_of: Ints, ewes: Floats, confidence: float = 0.90
) -> Projection:
    """Whole flocks from their groups: shape (n_flocks,); `flock_of` 0 … n_flocks − 1, `ewes` per group.

    The groups of a flock share their good or bad season (their rates are taken at the same quantile) and
    the offset of their session, so that neither averages out over groups. `chance` is left empty.
    """
    part = projection.predicted
    total = np.bincount(flock_of, ewes)
    weight = (ewes / total[flock_of])[:, None]
    share, variance, session_part = np.zeros((3, len(total), len(part.weight)))
    np.add.at(share, flock_of, weight * part.share)
    np.add.at(session_part, flock_of, weight * projection.session_part)
    np.add.at(variance, flock_of, weight**2 * (part.sd**2 - projection.session_part**2))
    together = Predicted(share, np.sqrt(variance + session_part**2), part.weight)
    return _projection(together, np.empty(0), session_part, confidence)


def _checked(cells: Cells, groups: Groups) -> Ints:
    """Index of each group's first cell; refuses what cannot be projected."""
    n_groups = len(groups.days)
    starts = np.searchsorted(cells.group, np.arange(n_groups))
    if np.any(np.diff(cells.group) < 0) or np.any(np.bincount(cells.group, cells.ewes, n_groups) <= 0):
        raise ValueError("cells must be sorted by group, and every group needs scored ewes")
    for name in ("days", "low", "high", "step"):
        if not np.all(np.isfinite(getattr(groups, name))):
            raise ValueError(f"'{name}' is missing for a group: leave it out and say why (see why_not)")
    if np.any(groups.days < 0) or np.any(groups.step <= 0) or np.any(groups.low > groups.high):
        raise ValueError("projection needs days ≥ 0, step > 0 and low ≤ high")
    return starts.astype(np.intp)


def _shift(groups: Groups, z: Floats) -> Floats:
    """Shift shared by each group at each point, shape (n_groups, k): gain, less the scores' known offset."""
    shift = groups.days[:, None] * groups.rates.at(z)
    if groups.later_days is not None and groups.later_rates is not None:
        shift = shift + groups.later_days[:, None] * groups.later_rates.at(z)
    if groups.offset is not None:
        shift = shift - (groups.offset.mean[:, None] + groups.offset.slope[:, None] * z)
    return shift


def _own_pace(cells: Cells, groups: Groups, condition: Condition) -> tuple[Condition, Floats]:
    """Condition as it will have spread by each ewe's own pace, and what of that pace stays unknown (sd).

    Ewes whose rates differ by `ewe_sd` for `gaining_since` days already differ in condition because of it.
    The regression of a ewe's own further gain on her distance from the group's mean therefore stretches
    the distances; the rest of her own gain is independent of them.
    """
    own = groups.days * groups.rates.ewe_sd
    if groups.later_days is not None and groups.later_rates is not None:
        own = own + groups.later_days * groups.later_rates.ewe_sd
    if groups.gaining_since is None:
        return condition, own
    so_far = groups.gaining_since * groups.rates.ewe_sd
    stretch = own * so_far / np.maximum(np.maximum(condition.true_sd, so_far) ** 2, SMALLEST_SD)
    unknown = np.sqrt(np.maximum(own**2 - (stretch * condition.true_sd) ** 2, 0))
    factor, mean = (1 + stretch)[cells.group], condition.group_mean[cells.group]
    stretched = replace(
        condition,
        mean=mean + factor * (condition.mean - mean),
        width=factor * condition.width,
        ewe_sd=(1 + stretch) * condition.ewe_sd,
    )
    return stretched, unknown


def _predict(
    cells: Cells,
    groups: Groups,
    starts: Ints,
    condition: Condition,
    recorded: Floats | None,
) -> tuple[Predicted, Floats, Floats]:
    z, weight = nodes()
    gain = _shift(groups, z)
    again = groups.errors() if recorded is not None else (0.0, 0.0)
    shared = condition.shared_sd**2 + again[1] ** 2
    paced, own = _own_pace(cells, groups, condition)
    gaining = _Reach(paced, gain, _sd(paced.ewe_sd, own, shared, again[0]))
    topmost = gaining
    if groups.held:
        gains = averaged(gain, weight) > 0
        staying = _Reach(condition, np.minimum(gain, 0), _sd(condition.ewe_sd, 0.0, shared, again[0]))
        topmost = _either(gains, cells.group, staying, gaining)
    edges = groups.edges()
    share, square, slope = np.empty((3, *gain.shape))
    chance = np.empty(len(cells.score))
    for first, last in _blocks(starts, len(cells.score)):
        stop = starts[last] if last < len(starts) else len(cells.score)
        rows = slice(starts[first], stop)
        block = slice(first, last)
        group = cells.group[rows]
        ready, change = _beyond(group, rows, gaining, edges[0])
        over, over_change = _beyond(group, rows, topmost, edges[1])
        ready -= over
        change -= over_change
        chance[rows] = averaged(ready, weight)
        ewes = cells.ewes[rows, None]
        local = starts[block] - starts[first]
        share[block] = np.add.reduceat(ewes * ready, local)
        square[block] = np.add.reduceat(ewes * ready**2, local)
        slope[block] = np.add.reduceat(ewes * change, local)
    number = np.add.reduceat(cells.ewes, starts)[:, None]
    share, square, slope = share / number, square / number, slope / number
    flock = np.where(np.isnan(groups.flock), number[:, 0], groups.flock)
    counted = flock if recorded is None else recorded
    finite = _finite(share, square, number, flock[:, None], counted[:, None])
    session_part = slope * np.sqrt(shared)[:, None]
    return (Predicted(share, np.sqrt(session_part**2 + finite), weight), np.clip(chance, 0, 1), session_part)


def _blocks(starts: Ints, n_cells: int) -> list[tuple[int, int]]:
    """Runs of whole groups that hold about `CELLS_AT_ONCE` cells each."""
    cuts = np.searchsorted(starts, np.arange(0, n_cells, CELLS_AT_ONCE))
    cuts = np.unique(np.append(cuts, len(starts)))
    return list(zip(cuts[:-1].tolist(), cuts[1:].tolist(), strict=True))


@dataclass(frozen=True, slots=True)
class _Reach:
    """Where ewes of each cell are on the day: their condition, the gain of their group at each point, shape
    (n_groups, k), and the spread of one ewe about both, shape (n_groups,)."""

    condition: Condition
    gain: Floats
    sd: Floats


def _either(chosen: NDArray[np.bool_], group: Ints, one: _Reach, other: _Reach) -> _Reach:
    """`one` for the groups that are `chosen`, `other` for the rest."""
    cell = chosen[group]
    condition = replace(
        other.condition,
        mean=np.where(cell, one.condition.mean, other.condition.mean),
        width=np.where(cell, one.condition.width, other.condition.width),
    )
    return _Reach(
        condition,
        np.where(chosen[:, None], one.gain, other.gain),
        np.where(chosen, one.sd, other.sd),
    )


def _sd(ewe_sd: Floats, own: Floats | float, shared: Floats, again: float) -> Floats:
    return np.maximum(np.sqrt(ewe_sd**2 + own**2 + shared + again**2), SMALLEST_SD)


def _beyond(group: Ints, rows: slice, reach: _Reach, edge: Floats) -> tuple[Floats, Floats]:
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


def _finite(share: Floats, square: Floats, number: Floats, flock: Floats, counted: Floats) -> Floats:
    """Variance of the share among `counted` ewes of a flock of whom `number` were scored, given the rate.

    Each ewe's own luck is E[p(1 − p)] / counted. The ewes counted may differ in their chances p from those
    scored: for two random samples of one flock, V (1/n + 1/m − 2/N). Few ewes teach little about V,
    so 1/n of the variance of a share (n S + 1)/(n + 2), which is never certain, is added to it.
    """
    flock = np.maximum(flock, np.maximum(number, counted))
    luck = np.maximum(share - square, 0)
    unsure = (number * share + 1) / (number + 2)
    between = np.maximum(square - share**2, 0) + unsure * (1 - unsure) / number
    return luck / counted + between * np.maximum(1 / number + 1 / counted - 2 / flock, 0)
