"""How many ewes to score next time; pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dashboard.brief import words
from dashboard.brief.choices import Choices
from dashboard.brief.parts import Part
from dashboard.brief.tables import WHOLE, BriefError, Tables
from pipelines import reference
from pipelines.statistics.sampling import ewes_for_mean, ewes_for_share, share_precision

CONFIDENCE = 0.90


@dataclass(frozen=True, slots=True)
class Expected:
    """What is expected of the next session: share thin (0–1) and spread of scores, and how it is known."""

    flock: int
    share: float
    spread: float
    known: str


def expected(tables: Tables, flock: int | None = None) -> Expected:
    """From the farm's latest session; without one, the thin limit and the spread of published flocks.

    `flock` is the number of ewes to draw from, the register's unless given; where it gives none, those
    scored last. Raises BriefError where neither is known.
    """
    history = tables.history()
    flock = flock or tables.flock() or (history[-1].ewes if history else None)
    if flock is None:
        raise BriefError(f"farm {tables.farm} has no number of ewes: add it to the farm register")
    if history and history[-1].ewes > 1:
        last = history[-1]
        low = next(group.low for group in tables.groups(last) if group.group == WHOLE)
        share = last.below(low) / last.ewes
        return Expected(flock, share, last.spread(), f"as in the session of {words.day(last.scored_on)}")
    spread = reference.number("real_flocks", figure="spread of scores")
    return Expected(
        flock, tables.thin_limit, spread, "a usual flock, since none was scored here this season or last"
    )


def ewes_to_score(tables: Tables, choices: Choices) -> int:
    """Ewes to score for the chosen precision of the share thin."""
    know = expected(tables, choices.flock)
    return ewes_for_share(know.share, choices.within / 100, know.flock, CONFIDENCE)


def next_time(tables: Tables, choices: Choices) -> Part:
    """Ewes to score for the chosen precision of the share thin and of the mean."""
    know = expected(tables, choices.flock)
    for_share = ewes_to_score(tables, choices)
    for_mean = ewes_for_mean(know.spread, choices.mean, know.flock, CONFIDENCE)
    half = float(share_precision(for_mean, know.share, know.flock, CONFIDENCE))
    flock = words.count(know.flock, "ewe")
    return Part(
        title="How many to score next time",
        sentences=(
            f"Score {for_share:,} of {flock} to know the share thin within ± {choices.within} points "
            f"({words.percent(CONFIDENCE)} confidence), expecting {words.percent(know.share)} thin, "
            f"{know.known}.",
            f"For the mean within ± {choices.mean:g} of a score, {words.count(for_mean, 'ewe')} "
            f"{words.are(for_mean)} enough, the scores being spread by {know.spread:.2f} (standard "
            f"deviation); but those tell the share thin only within ± {half * 100:.0f} points.",
            "Draw them through the whole flock as they come down the race, not the easiest to catch.",
        ),
        sources=(
            "Sample sizes: exact hypergeometric for the share; Student's t with finite population for the "
            "mean (Cochran 1977, from memory).",
        ),
    )  # fmt: skip


def precision(tables: Tables, flock: int | None = None) -> tuple[tuple[int, float], ...]:
    """The picture: half the width of the 90 % interval of the share thin, by number scored."""
    know = expected(tables, flock)
    scored = np.unique(np.linspace(min(10, know.flock), know.flock, 60).astype(int))
    halves = share_precision(scored, know.share, know.flock, CONFIDENCE)
    return tuple((int(n), float(half)) for n, half in zip(scored, halves, strict=True))
