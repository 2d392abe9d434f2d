"""The pictures of the comparison's page, as plain markup that any browser draws without a script."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Sequence
from html import escape
from itertools import pairwise

from dashboard.components import words
from dashboard.meeting.content import Move, Session, Spread

LOWEST, HIGHEST = 1.0, 5.5  # of the score axis: the last bin is that of score 5
SYSTEM_SIGN = {"hill": "▲", "upland": "■", "lowland": "●"}


def stacked(at: Session) -> str:
    """Thin, on target and over as one bar; the figures stand beside it."""
    parts = (("thin", at.thin), ("on-target", at.on_target), ("over", at.over))
    whole = sum(share for _, share in parts) or 1  # rounded shares need not add up to one
    bars = "".join(
        f'<span class="part part-{name}" style="width:{share / whole * 100:.1f}%"></span>'
        for name, share in parts
        if share > 0
    )
    return f'<div class="stack" aria-hidden="true">{bars}</div>'


def spread(of: Spread, tallest: float) -> str:
    """One letter's scores as bars over a score axis; `tallest` is the share that fills the height."""
    bars = "".join(
        f'<span style="left:{_at(low):.2f}%;width:{_at(high) - _at(low) - 0.8:.2f}%;'
        f'height:{share / tallest * 100:.1f}%"></span>'
        for low, high, share in of.bins
    )
    ticks = "".join(f'<i style="left:{_at(score):.2f}%">{score}</i>' for score in range(1, 6))
    said = ", ".join(f"{words.percent(share)} from {low:g} to under {high:g}" for low, high, share in of.bins)
    name = f"<strong>{escape(of.letter)}</strong> mean {of.mean:.1f}"
    return (
        f'<figure class="spread"><figcaption>{name}</figcaption>'
        f'<div role="img" aria-label="Scores of {escape(of.letter)}: {said}">'
        f'<div class="bars">{bars}</div><div class="axis">{ticks}</div></div></figure>'
    )


def _at(score: float) -> float:
    return (score - LOWEST) / (HIGHEST - LOWEST) * 100


def over_time(sessions: Sequence[Session]) -> str:
    """Share on target against weeks to rams in: a mark for all letters at one place, lines join a letter."""
    ends = [week for at in sessions for week in (at.weeks_from, at.weeks_to)]
    first, last = min(ends) - 1, max(max(ends) + 1, 0)

    def across(at: Session) -> float:
        return ((at.weeks_from + at.weeks_to) / 2 - first) / (last - first) * 100

    lines = "".join(
        f'<line x1="{across(one):.1f}" y1="{100 - one.on_target * 100:.1f}" '
        f'x2="{across(two):.1f}" y2="{100 - two.on_target * 100:.1f}"/>'
        for one, two in _joined(sessions)
    )
    marks = "".join(
        f'<span class="at-{system}" style="left:{left:.1f}%;bottom:{share * 100:.1f}%">{said}</span>'
        for left, share, system, said in _marks(sessions, across)
    )
    levels = "".join(f'<i class="level" style="bottom:{n}%">{n}&nbsp;%</i>' for n in range(0, 101, 25))
    step = 2 if last - first <= 20 else 4
    ticks = "".join(
        f'<i class="week" style="left:{(week - first) / (last - first) * 100:.1f}%">{abs(week)}</i>'
        for week in range(first + (-first) % step, last + 1, step)
    )
    return (
        f'<div class="over-time" aria-hidden="true">{levels}'
        f'<svg viewBox="0 0 100 100" preserveAspectRatio="none">{lines}</svg>{marks}{ticks}</div>'
        '<p class="axis-name">Weeks to rams in (number); up: share on target (% of ewes scored)</p>'
    )


def _joined(sessions: Sequence[Session]) -> Iterator[tuple[Session, Session]]:
    by_letter: dict[str, list[Session]] = defaultdict(list)
    for at in sorted(sessions, key=lambda at: at.weeks_from):
        by_letter[at.letter].append(at)
    for of in by_letter.values():
        yield from pairwise(of)


def _marks(
    sessions: Sequence[Session], across: Callable[[Session], float]
) -> list[tuple[float, float, str, str]]:
    """Place (per cent across, share), system and words of each mark."""
    held: dict[tuple[float, float, str], list[str]] = defaultdict(list)
    for at in sessions:
        held[across(at), at.on_target, at.system].append(at.letter)
    return [
        (left, share, system, f"{SYSTEM_SIGN[system]} {escape(' '.join(sorted(letters)))}")
        for (left, share, system), letters in held.items()
    ]


def move(of: Move) -> str:
    """Share on target before (ring) and now (dot) on one line from 0 to 100 %."""
    low, high = sorted((of.before, of.now))
    way = "up" if of.now >= of.before else "down"
    return (
        f'<div class="move {way}" aria-hidden="true">'
        f'<span class="path" style="left:{low * 100:.0f}%;right:{100 - high * 100:.0f}%"></span>'
        f'<span class="before" style="left:{of.before * 100:.0f}%"></span>'
        f'<span class="now" style="left:{of.now * 100:.0f}%"></span></div>'
    )
