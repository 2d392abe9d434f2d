"""How far ewes that have come right are held, learned from how many went over between past sessions.

Of the ewes that are right when scored, or come right later, a share goes on gaining with the rest; the others
are drawn off and held where they are. The share of the group over the top on a later day is then

    share × (over, were none held) + (1 − share) × (over, were all held),

so that only the mean and the spread of what is known of the share matter. It is looked for among `PARTS`. A
farm has a usual share, drawn from the practice's, and keeps to it in some seasons; in the others it is drawn
anew. How farms are spread, and how often they keep to their way, is estimated over the practice.

Compared are how many ewes were over before and after, never how single ewes with high and low scores did:
errors of scoring pull such pairs together whether or not anything was held, but leave the spread of a whole
session as it was. What the mean of an interval says of the rate is allowed for with the published rate as
its prior, and the offsets of its two sessions with theirs, to first order.
"""

from __future__ import annotations

from dataclasses import dataclass, fields
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from pipelines import reference
from pipelines.readiness.gain import Z95, Rates
from pipelines.readiness.learning import Observed

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]
PARTS = np.array([0.0, 0.25, 0.5, 0.75, 1.0])
EVEN = (0.2,) * 5  # every one of `PARTS` as likely as the others: before anything is known
LEAST_CHANCE = (
    0.005  # of any share on one more farm, and of a farm's changing its way, whatever all others do
)
EVERY_OTHER = 0.5  # of seasons: how often a farm keeps to its usual way, before anything is known
LEAST_LOG = -200.0  # against the likeliest: beyond anything that sessions tell
ROUNDS = 60  # of expectation and maximisation: more would only sharpen what few sessions leave blurred
MANNER = 0.5  # doubt of the manner of holding, per share × (1 − share): 0.125 of the ewes at a half
LEAST_ANSWER = 0.1  # of a mean to its rate: once nearly all are held it tells nothing of how fast they gained
SLACK = 0.03  # of the flock: what bell curves miss of shares over the top


@dataclass(frozen=True, slots=True)
class GoingOn:
    """Share of the ewes that are right that go on gaining: what is known of it, shape (n_groups,)."""

    mean: Floats
    sd: Floats


@dataclass(frozen=True, slots=True)
class Habits:
    """How a practice's farms are spread over `PARTS`, sum 1, and in what share of seasons a farm keeps to its
    usual way; in the others it goes any of the practice's ways."""

    spread: tuple[float, ...] = EVEN
    keeps: float = EVERY_OTHER


@dataclass(frozen=True, slots=True)
class Changes:
    """What intervals between two sessions show: shape (n_intervals,).

    `mean` and `sd` are of the scores at the start, `true_sd` of condition then; `change` that of the mean,
    `change_sd` its error from the ewes. `right_at` is the condition from which ewes may be held. `over` are
    shares recorded above the band (before, after), `edge` the condition where that begins on the step of
    each session; `ewes` those that the shares rest on, `together` the intervals that share both sessions.
    """

    days: Floats
    change: Floats
    change_sd: Floats
    mean: Floats
    sd: Floats
    true_sd: Floats
    right_at: Floats
    over: tuple[Floats, Floats]
    edge: tuple[Floats, Floats]
    ewes: Floats
    together: Floats

    def take(self, chosen: NDArray[np.bool_]) -> Changes:
        """Some of the intervals."""
        parts = (getattr(self, field.name) for field in fields(self))
        return Changes(*(_some(part, chosen) for part in parts))


def _some(part: Any, chosen: NDArray[np.bool_]) -> Any:
    return tuple(each[chosen] for each in part) if isinstance(part, tuple) else part[chosen]


def unheld(seen: Changes, published: Rates, share: Floats) -> Observed:
    """The rate of the ewes that were not held, where of those that were right a `share` went on.

    The change of the mean is less than that gain by what those held forwent, worked out about the published
    median: unlike a curve that levels off, its tangent has no lean where the offsets of sessions are large.
    Where none was held it is the plain rate. Once most are held, the mean answers to the rate less.
    """
    usual = seen.days * published.median
    mean, answer = _risen(seen, usual, seen.days * published.ewe_sd, share)
    gain = usual + (seen.change - mean) / answer
    return Observed(gain / seen.days, seen.change_sd / answer / seen.days, answer * seen.days)


def _risen(seen: Changes, gain: Floats, own_sd: Floats, share: Floats) -> tuple[Floats, Floats]:
    """Change of the mean after this gain of ewes not held, and how much of one more gain it would show."""
    above = np.sqrt(seen.true_sd**2 + own_sd**2)
    beyond = (seen.mean + gain - seen.right_at) / above
    forgone = above * _beyond(beyond) - seen.true_sd * _beyond((seen.mean - seen.right_at) / seen.true_sd)
    answer = 1 - (1 - share) * ndtr(beyond)
    return gain - (1 - share) * np.maximum(forgone, 0), np.maximum(answer, LEAST_ANSWER)


def _beyond(z: Floats) -> Floats:
    """Mean excess over 0 of a normal about `z` with a standard deviation of one."""
    excess: Floats = z * ndtr(z) + _density(z)
    return excess


def _density(z: Floats) -> Floats:
    return np.asarray(np.exp(-0.5 * z**2) / np.sqrt(2 * np.pi))


def evidence(seen: Changes, published: Rates, offset_sd: float) -> Floats:
    """Log likelihood of each of `PARTS` from how many were over after each interval: (n_intervals, 5).

    Only the number over is judged, given the change of the mean: a mean that rises slowly may be that of a
    slow farm. An interval in which none could have gone over therefore says nothing.
    """
    return np.stack([_likelihood(seen, published, offset_sd, share) for share in PARTS], axis=1)


def _likelihood(seen: Changes, published: Rates, offset_sd: float, share: float) -> Floats:
    """Log likelihood of one share, shape (n_intervals,).

    The gain and the offset between the two sessions are normal at first; the change of the mean moves both
    and narrows them. What they leave open of the share over, to first order, widens its error.
    """
    own_sd = seen.days * published.ewe_sd
    usual, doubt = seen.days * published.median, seen.days * (published.high - published.low) / (2 * Z95)
    mean, answer = _risen(seen, usual, own_sd, np.full(len(usual), share))
    offsets = 2 * offset_sd**2
    variance = (answer * doubt) ** 2 + offsets + seen.change_sd**2
    gain = np.maximum(usual + answer * doubt**2 / variance * (seen.change - mean), 0)
    offset = offsets / variance * (seen.change - mean)
    wide = np.sqrt(seen.sd**2 + own_sd**2)
    free = (seen.mean + gain + offset - seen.edge[1]) / wide
    held = (seen.mean + offset - seen.edge[1]) / seen.sd
    # the shares recorded before are moved by what bell curves say of the change, not replaced by them
    moved = seen.over[0] - ndtr((seen.mean - seen.edge[0]) / seen.sd)
    over = share * np.clip(moved + ndtr(free), 0, 1) + (1 - share) * np.clip(moved + ndtr(held), 0, 1)
    to_gain = share * _density(free) / wide
    to_offset = to_gain + (1 - share) * _density(held) / seen.sd
    left = (to_gain * doubt) ** 2 + offsets * to_offset**2
    left -= (to_gain * doubt**2 * answer + to_offset * offsets) ** 2 / variance
    drawn = (seen.ewes * over + 0.5) / (seen.ewes + 1)  # so that 0 of 30 does not claim to be certain
    spread = drawn * (1 - drawn) * 2 / seen.ewes + seen.together * np.maximum(left, 0) + SLACK**2
    return np.asarray(-0.5 * (seen.over[1] - over) ** 2 / spread - 0.5 * np.log(spread))


def habits(told: Floats, farm: Ints) -> Habits:
    """The ways of a practice's farms, from what each season of a `farm` has `told` (summed evidence).

    Parameters
    ----------
    told : shape (n_seasons, 5), the seasons of a farm one after another.
    farm : 0 … n_farms − 1 of each season, ascending.

    Expectation and maximisation (Dempster, Laird & Rubin 1977, doi:10.1111/j.2517-6161.1977.tb01600.x) from
    an even spread that counts for as many farms as the reference says, and from farms that keep to their way
    every other season. The answer is coarse, as finer steps would move with every file, and no share and no
    change of way is ever ruled out.
    """
    weight = reference.number("growth", name="weight of the even prior on holding")
    likelihood, even = _likelihoods(told), np.array(EVEN)
    spread, keeps = even, EVERY_OTHER
    for _ in range(ROUNDS if len(told) else 0):
        usual, as_usual, anew = _ways(likelihood, farm, spread[None], np.full(1, keeps))
        kept = np.einsum("nk,nk->n", usual[farm], keeps * likelihood / as_usual)
        drawn = spread * (likelihood.T @ ((1 - kept) / anew))
        spread = usual.sum(axis=0) + drawn + weight * even
        spread = spread / spread.sum()
        keeps = float((kept.sum() + EVERY_OTHER * weight) / (len(told) + weight))
    coarse = np.round(10 * spread) / 10 + LEAST_CHANCE
    settled = min(max(round(5 * keeps) / 5, LEAST_CHANCE), 1 - LEAST_CHANCE)
    return Habits(tuple((coarse / coarse.sum()).tolist()), settled)


def going_on(told: Floats, owner: Ints, spread: Floats, keeps: Floats) -> GoingOn:
    """The share in each season, from what it and the other seasons of its `owner` have told: (n_seasons,).

    `told` and `owner` as for `habits`; `spread`, (n_owners, 5), and `keeps`, (n_owners,), are the habits of
    the practice as each owner knows them. Where neither all nor none go on, they may also all do so at a
    slower pace, which over other days comes to other shares: so much doubt stays, however much is told.
    """
    likelihood = _likelihoods(told)
    _, as_usual, _ = _ways(likelihood, owner, spread, keeps)
    others = _summed(np.log(as_usual), owner)[owner] - np.log(as_usual)
    usual = _shares_of(spread[owner] * _likelihoods(others))
    kept = keeps[owner, None]
    chance = _shares_of((kept * usual + (1 - kept) * spread[owner]) * likelihood)
    mean, square = (np.einsum("nk,k->n", chance, parts) for parts in (PARTS, PARTS**2))
    manner = MANNER * (mean - square)
    return GoingOn(mean, np.sqrt(np.maximum(square - mean**2, 0) + manner**2))


def _ways(likelihood: Floats, owner: Ints, spread: Floats, keeps: Floats) -> tuple[Floats, Floats, Floats]:
    """The usual share of each owner, (n_owners, 5); the likelihood of each season where that is the usual
    one, kept to or not, (n_seasons, 5); and where it is drawn anew, (n_seasons,)."""
    row = owner if len(spread) > 1 else np.zeros_like(owner)
    anew = np.einsum("nk,nk->n", likelihood, spread[row])
    as_usual = keeps[row, None] * likelihood + ((1 - keeps[row]) * anew)[:, None]
    return _shares_of(spread * _likelihoods(_summed(np.log(as_usual), owner))), as_usual, anew


def _summed(values: Floats, owner: Ints) -> Floats:
    """Rows summed over those of each owner, who has at least one: (owners, 5)."""
    if len(owner) == 0:
        return np.zeros((0, values.shape[1]))
    return np.asarray(np.add.reduceat(values, np.flatnonzero(np.diff(owner, prepend=-1)), axis=0))


def _shares_of(weighed: Floats) -> Floats:
    shares: Floats = weighed / weighed.sum(axis=1, keepdims=True)
    return shares


def _likelihoods(told: Floats) -> Floats:
    """Of each of `PARTS`, against the likeliest; never quite none, so that its logarithm is a number."""
    return np.asarray(np.exp(np.maximum(told - told.max(axis=1, keepdims=True), LEAST_LOG)))
