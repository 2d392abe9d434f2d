"""What has changed between two sessions, with intervals, from two histograms of scores.

Both sessions are judged against the same line (the later session's `low`), because the bands differ by
stage and a change of band is not a change of ewes.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from dashboard.brief import words
from pipelines.statistics.trend import Means, Shares, change_in_mean, change_in_share

LONGEST_SEASON = 200  # days from weaning to the rams: two sessions before tupping further apart are of two


@dataclass(frozen=True, slots=True)
class Session:
    """A whole session as a histogram: (score, ewes), at least one ewe; `flock` None where not known."""

    scored_on: date
    stage: str
    cells: tuple[tuple[float, int], ...]
    flock: int | None = None

    @property
    def ewes(self) -> int:
        """Ewes scored."""
        return sum(ewes for _, ewes in self.cells)

    def below(self, line: float) -> int:
        """Ewes scored below the line."""
        return sum(ewes for score, ewes in self.cells if score < line)

    def mean(self) -> float:
        """Mean score."""
        return sum(score * ewes for score, ewes in self.cells) / self.ewes

    def spread(self) -> float:
        """Sample standard deviation of the scores (divisor n − 1); needs two ewes."""
        mean = self.mean()
        return math.sqrt(sum(ewes * (score - mean) ** 2 for score, ewes in self.cells) / (self.ewes - 1))


def sentence(now: Session, then: Session, line: float, opening: str) -> str:
    """What has changed from `then` to `now`, e.g. opening 'Since weaning, 14 Aug 2026'."""
    thin, thin_then = now.below(line), then.below(line)
    change = change_in_share(Shares(thin_then, then.ewes, then.flock), Shares(thin, now.ewes, now.flock))
    shares = (
        f"{words.percent(thin_then / then.ewes)} of ewes were below {words.score(line)} then "
        f"({thin_then:,} of {then.ewes:,}), {words.percent(thin / now.ewes)} now ({thin:,} of {now.ewes:,})"
    )
    return (
        f"{opening}: {shares}; {_direction(float(change.low), float(change.high))}. {_mean_change(now, then)}"
    )


def _direction(low: float, high: float) -> str:
    if low <= 0 <= high:
        return f"no clear change (between {_points(low)} fewer and {_points(high)} more)"
    near, far = sorted((abs(low), abs(high)))
    way = "more" if low > 0 else "fewer"
    if round(near * 100) == round(far * 100):
        return f"{way} by {_points(far)}"
    span = f"between {near * 100:.0f} and" if near >= 0.005 else "up to"
    return f"{way} by {span} {_points(far)}"


def _points(share: float) -> str:
    return words.count(round(abs(share) * 100), "point")


def _mean_change(now: Session, then: Session) -> str:
    if min(now.ewes, then.ewes) < 2:
        return f"The mean was {then.mean():.2f} and is {now.mean():.2f}; one ewe says nothing of a change."
    before, after = (Means(each.mean(), each.spread(), each.ewes, each.flock) for each in (then, now))
    found = change_in_mean(before, after)
    low, high = float(found.low), float(found.high)
    if low <= 0 <= high:
        return f"The mean, {now.mean():.2f}, is much as it was ({then.mean():.2f})."
    near, far = sorted((abs(low), abs(high)))
    moved = "up" if low > 0 else "down"
    by = f"{abs(float(found.change)):.2f}"
    span = "" if f"{near:.2f}" == f"{far:.2f}" else f" (between {near:.2f} and {far:.2f})"
    return f"The mean is {moved} {by}{span} to {now.mean():.2f}."


def opening(now: Session, then: Session) -> str:
    """How the earlier session is named beside the later one."""
    if (now.scored_on - then.scored_on).days <= LONGEST_SEASON:
        return f"Since {then.stage}, {words.day(then.scored_on)}"
    return f"Against {then.stage} last season, {words.day(then.scored_on)}"


def comparisons(latest: Session, sessions: Sequence[Session]) -> tuple[Session, ...]:
    """The session before (within 300 days), and the latest at the same stage the season before."""

    def age(session: Session) -> int:
        return (latest.scored_on - session.scored_on).days

    before = [session for session in sessions if 0 < age(session) <= 300 and session.stage != "lambing"]
    same_stage = [
        each for each in sessions if LONGEST_SEASON < age(each) <= 500 and each.stage == latest.stage
    ]
    chosen = [max(found, key=lambda each: each.scored_on) for found in (before, same_stage) if found]
    return tuple(dict.fromkeys(chosen))
