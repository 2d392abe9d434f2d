"""The share of a group that will be inside the tupping band on `ready_by`, with its interval.

A ewe's condition on the day is her condition when scored, plus days × the rate her group shares, plus what
she gains more or less than her group. The first and last are summed in closed form; the shared rate is
integrated over fixed points. All depends in a straight line on the share of right ewes that gain on (see
`holding`), which so needs no points: its mean and spread say all. So the same input gives the same answer,
and the cost is that of the distinct score cells, however many ewes they hold.

Ready means: the score an exact scorer would give on `ready_by`, on the step in use, is inside the band. On a
half-score scale 2.5 stands for 2.25 to 2.75, so a band from 2.5 begins at a condition of 2.25; and one from
2.75, which no half score meets, begins at 2.75, since 3 is the first score inside it.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from pipelines.readiness.condition import Condition, true_condition
from pipelines.readiness.groups import Cells, Floats, Groups, Ints
from pipelines.readiness.mixture import averaged, quantiles
from pipelines.readiness.quadrature import nodes
from pipelines.readiness.reach import SMALLEST_SD, Reach, beyond, combined
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

    `shared_parts` is what the session's offset, and the doubt how many right ewes are held, add to the
    spread of `predicted`, signed by their direction, shape (2, n_groups, k): groups of a farm scored on one
    day share both.
    """

    ready_share: Floats
    low: Floats
    high: Floats
    chance: Floats
    predicted: Predicted
    shared_parts: Floats


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
    predicted, chance, shared_parts = _predict(cells, groups, starts, condition, recorded)
    return _projection(predicted, chance, shared_parts, confidence)


def _projection(predicted: Predicted, chance: Floats, shared_parts: Floats, confidence: float) -> Projection:
    expected = averaged(predicted.share, predicted.weight)
    low, high = quantiles(predicted.share, predicted.sd, predicted.weight, confidence)
    return Projection(
        expected, np.minimum(low, expected), np.maximum(high, expected), chance, predicted, shared_parts
    )


def project_together(
    projection: Projection, flock_of: Ints, ewes: Floats, confidence: float = 0.90
) -> Projection:
    """Whole flocks from their groups: shape (n_flocks,); `flock_of` 0 … n_flocks − 1, `ewes` per group.

    The groups of a flock share their good or bad season (their rates are taken at the same quantile), the
    offset of their session and the way right ewes are held, so that none of these averages out over groups.
    `chance` is left empty.
    """
    part = projection.predicted
    total = np.bincount(flock_of, ewes)
    weight = (ewes / total[flock_of])[:, None]
    share, variance, *shared = np.zeros((2 + len(projection.shared_parts), len(total), len(part.weight)))
    np.add.at(share, flock_of, weight * part.share)
    for sum_, each in zip(shared, projection.shared_parts, strict=True):
        np.add.at(sum_, flock_of, weight * each)
    alone = part.sd**2 - (projection.shared_parts**2).sum(axis=0)
    np.add.at(variance, flock_of, weight**2 * alone)
    parts = np.stack(shared)
    together = Predicted(share, np.sqrt(variance + (parts**2).sum(axis=0)), part.weight)
    return _projection(together, np.empty(0), parts, confidence)


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
    return shift + _offset(groups, z)


def _offset(groups: Groups, z: Floats) -> Floats:
    """What is known of the scores' offset, taken off again: shape (n_groups, k), or 1 for all points."""
    if groups.offset is None:
        return np.zeros((len(groups.days), 1))
    return -(groups.offset.mean[:, None] + groups.offset.slope[:, None] * z)


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
    shift = _shift(groups, z)
    again = groups.errors() if recorded is not None else (0.0, 0.0)
    shared = condition.shared_sd**2 + again[1] ** 2
    paced, own = _own_pace(cells, groups, condition)
    gaining = Reach(paced, shift, combined(paced.ewe_sd, own, shared, again[0]))
    staying = Reach(condition, _offset(groups, z), combined(condition.ewe_sd, 0.0, shared, again[0]))
    sums, chance = _summed(cells, starts, groups, gaining, staying)
    number = np.add.reduceat(cells.ewes, starts)[:, None]
    share, square, slope, fewer = sums / number
    flock = np.where(np.isnan(groups.flock), number[:, 0], groups.flock)
    counted = flock if recorded is None else recorded
    finite = _finite(share, square, number, flock[:, None], counted[:, None])
    parts = np.stack([slope * np.sqrt(shared)[:, None], fewer * _going_on(groups)[1][:, None]])
    return Predicted(share, np.sqrt((parts**2).sum(axis=0) + finite), weight), np.clip(chance, 0, 1), parts


def _going_on(groups: Groups) -> tuple[Floats, Floats]:
    """Share of right ewes that gain on, and the doubt about it (sd): all, for sure, where none is held."""
    known = groups.going_on
    if known is None:
        return np.ones(len(groups.days)), np.zeros(len(groups.days))
    gains = groups.gains()
    return np.where(gains, known.mean, 1.0), np.where(gains, known.sd, 0.0)


def _summed(
    cells: Cells, starts: Ints, groups: Groups, gaining: Reach, staying: Reach
) -> tuple[Floats, Floats]:
    """Sums over the ewes of each group at each point, shape (4, n_groups, k), and each cell's mean chance.

    Summed are the chance of being ready, its square, its slope against a shift of the whole group, and what
    it would lose if all that are right went on instead of none.
    """
    low, high = groups.edges()
    held = 1 - _going_on(groups)[0]
    weight = nodes()[1]
    sums = np.zeros((4, *gaining.gain.shape))
    chance = np.empty(len(cells.score))
    for first, last in _blocks(starts, len(cells.score)):
        stop = starts[last] if last < len(starts) else len(cells.score)
        rows, block = slice(starts[first], stop), slice(first, last)
        group = cells.group[rows]
        ready, slope = beyond(group, rows, gaining, low)
        over, over_slope = beyond(group, rows, gaining, high)
        ready -= over
        slope -= over_slope
        ewes = cells.ewes[rows, None]
        local = starts[block] - starts[first]
        if groups.going_on is not None:
            stay, stay_slope = beyond(group, rows, staying, high)
            stay = stay - over
            part = held[group, None]
            ready -= part * stay
            slope -= part * (stay_slope - over_slope)
            sums[3, block] = np.add.reduceat(ewes * stay, local)
        chance[rows] = averaged(ready, weight)
        for place, each in enumerate((ready, ready**2, slope)):
            sums[place, block] = np.add.reduceat(ewes * each, local)
    return sums, chance


def _blocks(starts: Ints, n_cells: int) -> list[tuple[int, int]]:
    """Runs of whole groups that hold about `CELLS_AT_ONCE` cells each."""
    cuts = np.searchsorted(starts, np.arange(0, n_cells, CELLS_AT_ONCE))
    cuts = np.unique(np.append(cuts, len(starts)))
    return list(zip(cuts[:-1].tolist(), cuts[1:].tolist(), strict=True))


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
