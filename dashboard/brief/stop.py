"""When to stop at the race: the rule, and how often it errs; pure."""

from __future__ import annotations

import math
from functools import lru_cache

from dashboard.brief import words
from dashboard.brief.choices import Choices
from dashboard.brief.next_time import expected
from dashboard.brief.parts import Part
from dashboard.brief.tables import Tables
from pipelines.statistics.stopping import StoppingRule, outcomes, stopping_rule

LONGEST_RULE = 200  # ewes; a flock near the limit cannot be told apart sooner, and is scored to the end
LOOKS = (5, 10, 15, 20, 25, 30, 40, 50, 60, 80, 100, 125, 150, 175, 200)  # rows of the rule that are shown
TRUTHS = (0.5, 1.0, 1.5, 2.0, 3.0)  # true shares thin at which the errors are shown, in limits
ERROR = 0.05


@lru_cache(maxsize=256)  # half a second's work whose answer never changes
def rule_for(limit: float, flock: int) -> StoppingRule:
    """The rule for a flock of this size, exact for it."""
    return stopping_rule(limit, flock, most=LONGEST_RULE, error=ERROR)


def stop(tables: Tables, choices: Choices) -> Part:
    """The rule: how many thin among so many scored say that there are surely too many, or surely not."""
    limit, flock = tables.thin_limit, expected(tables, choices.flock).flock
    rule = rule_for(limit, flock)
    return Part(
        title="When to stop at the race",
        sentences=(
            "Count the thin ewes as they come. Once they reach the second column, more than "
            f"{words.percent(limit)} of the flock are surely thin: stop. At the third column or fewer, "
            "surely not: stop. In between, go on.",
            "The entry page on the phone says so by itself.",
        ),
        head=("Ewes scored", "Surely too many thin, from", "Surely not too many, up to"),
        lines=tuple(_look(rule, n) for n in LOOKS if n < len(rule.over)),
        cautions=(
            "A flock near the limit cannot be told apart early: then score on, or all of them.",
            "It holds for ewes that come in no particular order; thin ewes often come last.",
        ),
    )


def _look(rule: StoppingRule, n: int) -> tuple[str, ...]:
    over, under = int(rule.over[n]), int(rule.under[n])
    return f"{n:,}", f"{over:,}" if over <= n else "–", f"{under:,}" if under >= 0 else "–"


def mistakes(tables: Tables, choices: Choices) -> Part:
    """How often the rule errs, for flocks with so many thin ewes in truth: exact, not simulated."""
    limit, flock = tables.thin_limit, expected(tables, choices.flock).flock
    rule = rule_for(limit, flock)
    counts = dict.fromkeys(min(flock, math.floor(truth * limit * flock + 1e-9)) for truth in TRUTHS)
    return Part(
        title="How often the rule is right",
        sentences=(
            "Looking after every ewe gives chance many openings, so each look is strict: the rule is wrong "
            f"at most {round(ERROR * 100)} times in a hundred flocks, either way, however often you look.",
        ),
        head=("Truly thin", "Says too many", "Says not too many", "No answer", "Scored, on average"),
        lines=tuple(_mistake(rule, count, flock) for count in counts),
        sources=(
            f"For {words.count(flock, 'ewe')}, stopping at {len(rule.over) - 1:,} at the latest: Pocock 1977 "
            "for counts and finite flocks; every path through the race enumerated.",
        ),
    )


def _mistake(rule: StoppingRule, thin: int, flock: int) -> tuple[str, ...]:
    found = outcomes(rule, thin)
    chances = (_chance(each) for each in (found.over, found.under, found.undecided))
    return f"{thin:,} ({words.percent(thin / flock)})", *chances, f"{found.scored:,.0f}"


def _chance(value: float) -> str:
    """Exact chances, to a tenth where they are small: 5.0 % is the promise."""
    if value < 1e-9:
        return f"0{words.SPACE}%"
    if value < 0.001:
        return f"under 0.1{words.SPACE}%"
    return f"{value * 100:.1f}{words.SPACE}%" if value < 0.10 else words.percent(value)
