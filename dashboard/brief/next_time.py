"""How many ewes to score next time, and when to stop at the race; pure."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from dashboard.brief import words
from dashboard.brief.parts import Part
from dashboard.brief.tables import Tables
from pipelines import reference
from pipelines.statistics.sampling import ewes_for_mean, ewes_for_share, share_precision
from pipelines.statistics.stopping import stopping_rule

LONGEST_RULE = 200  # ewes; a flock near the limit cannot be told apart sooner, and is scored to the end
LOOKS = (5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125, 150, 175, 200)  # rows of the rule that are printed


@dataclass(frozen=True, slots=True)
class Expected:
    """What is expected of the next session: share thin (0–1) and spread of scores, and how it is known."""

    flock: int
    share: float
    spread: float
    known: str


def expected(tables: Tables) -> Expected:
    """From the farm's latest session; without one, the thin limit and the spread of published flocks."""
    flock = int(tables.register()["ewes"])
    history = tables.history()
    if history and history[-1].ewes > 1:
        last = history[-1]
        low = next(group.low for group in tables.groups(last) if group.group == "ALL")
        share = last.below(low) / last.ewes
        return Expected(flock, share, last.spread(), f"as in the session of {words.day(last.scored_on)}")
    spread = reference.figure("real_flocks", figure="spread of scores").value
    assert spread is not None  # the table's own test asks for a number
    return Expected(flock, tables.thin_limit, spread, "a usual flock, since this one was never scored")


def next_time(tables: Tables, within_share: float = 0.10, within_mean: float = 0.2) -> Part:
    """Ewes to score for ± `within_share` (0–1) and ± `within_mean` scores, and the rule when to stop."""
    know = expected(tables)
    for_share, closer = (
        ewes_for_share(know.share, each, know.flock) for each in (within_share, within_share / 2)
    )
    for_mean = ewes_for_mean(know.spread, within_mean, know.flock)
    flock = words.count(know.flock, "ewe")
    half = float(share_precision(for_mean, know.share, know.flock))
    return Part(
        title="How many to score next time",
        sentences=(
            f"Expecting {words.percent(know.share)} thin ({know.known}), score {for_share:,} of {flock} to "
            f"know the share thin within ± {within_share * 100:.0f} points, "
            f"or {closer:,} for ± {within_share * 50:.0f} points (90 % confidence).",
            f"For the mean within ± {within_mean:.1f} of a score, {words.count(for_mean, 'ewe')} are enough; "
            f"but those tell the share thin only within ± {half * 100:.0f} points.",
            "Draw them through the whole flock as they come down the race, not the easiest to catch.",
            f"Stopping at the race: once the thin ewes among those scored reach the second column, more "
            f"than {words.percent(tables.thin_limit)} of the flock are surely thin; at the third column or "
            "fewer, surely not. Either is wrong at most once in twenty flocks, however often you look.",
        ),
        head=("Ewes scored", "Surely too many thin, from", "Surely not too many, up to"),
        lines=_rule(tables.thin_limit, know.flock),
        cautions=("A flock near the limit cannot be told apart early: then score on, or all of them.",),
        sources=(
            "Sample sizes: exact hypergeometric for the share; Student's t with finite population for the "
            "mean (Cochran 1977, from memory). Stopping rule: Pocock 1977, with exact enumeration.",
        ),
    )  # fmt: skip


def _rule(limit: float, flock: int) -> tuple[tuple[str, ...], ...]:
    rule = stopping_rule(limit, flock, most=LONGEST_RULE)
    looks = [n for n in LOOKS if n < len(rule.over)]
    return tuple(
        (
            f"{n:,}",
            f"{rule.over[n]:,}" if rule.over[n] <= n else "–",
            f"{rule.under[n]:,}" if rule.under[n] >= 0 else "–",
        )
        for n in looks
    )


def precision(tables: Tables) -> tuple[tuple[int, float], ...]:
    """The picture: half the width of the 90 % interval of the share thin, by number scored."""
    know = expected(tables)
    scored = np.unique(np.linspace(min(10, know.flock), know.flock, 60).astype(int))
    halves = share_precision(scored, know.share, know.flock)
    return tuple((int(n), float(half)) for n, half in zip(scored, halves, strict=True))
