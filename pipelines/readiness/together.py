"""Intervals of a farm's season judged together, since those that share a session share its offset.

Generalised least squares: what intervals observe is a sum of unknowns (one rate, or a pace for each part of
the season), known multiples of them, the error of the ewes and the offsets of the two sessions.
"""

from __future__ import annotations

from dataclasses import dataclass, fields

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
LEAST_VARIANCE = 1e-9  # of an interval's own error: keeps the limit of no error free of divisions by zero


@dataclass(frozen=True, slots=True)
class Between:
    """Intervals between two sessions: shape (n_intervals,), `multiples` (n_intervals, d).

    `start` and `end` number the sessions of a farm and season, alike for all groups scored that day.
    `observed` and `sd` are in the caller's unit; `per_offset` is what one score of offset does to them.
    """

    farm: Ints
    season: Ints
    start: Ints
    end: Ints
    observed: Floats
    sd: Floats
    per_offset: Floats
    multiples: Floats

    def take(self, chosen: NDArray[np.bool_]) -> Between:
        """Some of the intervals."""
        return Between(*(getattr(self, field.name)[chosen] for field in fields(self)))


@dataclass(frozen=True, slots=True)
class Seasons:
    """What the intervals of each farm and season say, in order: shape (n,), (n, d) or (n, d, d).

    The log likelihood of unknowns x is pull · x − x · precision · x / 2. The offset of the `last` session, in
    scores, is `offset` − fall · x, give or take `offset_sd`.
    """

    farm: Ints
    season: Ints
    intervals: Ints
    last: Ints
    precision: Floats
    pull: Floats
    offset: Floats
    fall: Floats
    offset_sd: Floats


def by_season(seen: Between, offset_sd: float) -> Seasons:
    """Each farm-season's intervals in one; `offset_sd` is the offset of a whole session, in scores."""
    # as one number each: in pairs they take fifty times as long to tell apart
    span = seen.season.max(initial=0) + 1
    keys, place = np.unique(seen.farm * span + seen.season, return_inverse=True)
    number = np.bincount(place, minlength=len(keys))
    order = np.argsort(place, kind="stable")
    first = np.cumsum(number) - number
    size, unknowns = len(number), seen.multiples.shape[1]
    shapes = [(size, unknowns, unknowns), (size, unknowns), (size,), (size, unknowns), (size,)]
    figures = [np.empty(shape) for shape in shapes]
    for many in np.unique(number):  # farm-seasons with as many intervals are solved in one call
        alike = np.flatnonzero(number == many)
        rows = order[first[alike][:, None] + np.arange(many)]
        for figure, part in zip(figures, _alike(seen, rows, offset_sd), strict=True):
            figure[alike] = part
    last = np.maximum.reduceat(seen.end[order], first) if len(order) else np.empty(0)
    return Seasons(*np.divmod(keys, span), number, last.astype(np.intp), *figures)


def _alike(seen: Between, rows: Ints, offset_sd: float) -> tuple[Floats, ...]:
    """Precision, pull, and the last session's offset, from the intervals `rows`, (n, k), of each season."""
    start, end = seen.start[rows], seen.end[rows]
    observed, multiples = seen.observed[rows], seen.multiples[rows]
    shared = _same(start, start) + _same(end, end) - _same(start, end) - _same(end, start)
    effect = offset_sd * seen.per_offset[rows]
    covariance = shared * effect[:, :, None] * effect[:, None, :]
    covariance += np.eye(rows.shape[1]) * (seen.sd[rows] ** 2 + LEAST_VARIANCE)[:, None, :]
    in_last = offset_sd * effect * (end == end.max(axis=1, keepdims=True))
    solved = np.linalg.solve(covariance, np.concatenate([multiples, in_last[:, :, None]], axis=2))
    weight, pull = solved[:, :, :-1], solved[:, :, -1]
    left = np.maximum(offset_sd**2 - (pull * in_last).sum(axis=1), 0.0)
    return (
        (multiples[:, :, :, None] * weight[:, :, None, :]).sum(axis=1),
        (weight * observed[:, :, None]).sum(axis=1),
        (pull * observed).sum(axis=1),
        (pull[:, :, None] * multiples).sum(axis=1),
        left**0.5,
    )


def _same(one: Ints, other: Ints) -> Floats:
    """1 where two intervals of a farm-season have this day in common, shape (n, k, k)."""
    return np.asarray(one[:, :, None] == other[:, None, :], dtype=float)
