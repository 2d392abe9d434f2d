"""All that a visit brief says, worked out before anything is drawn.

Everything here is frozen, free of pandas and of paper: the pages, the calendar and the sheets draw from it.
Shares are 0–1, intervals 90 %, scores on the 1–5 scale.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import Literal

DateKind = Literal["score", "rescore", "best grazing", "ready by", "flush", "rams in", "scanning", "lambing"]
HOLD = "hold"  # the action of a ewe who is left where she is


@dataclass(frozen=True, slots=True)
class Masthead:
    """Who and when: the head of the first page."""

    farm: str
    name: str
    season: int
    system: str
    facts: str  # '420 ewes · weaned … · rams in …'
    as_of: date


@dataclass(frozen=True, slots=True)
class Deadline:
    """One date of the farm's season; `last` is inclusive and equals `first` for a single day."""

    kind: DateKind
    first: date
    last: date
    what: str
    why: str


@dataclass(frozen=True, slots=True)
class GroupScores:
    """One group's scores in one session, with the band they are judged against; `group` may be ALL."""

    group: str
    cells: tuple[tuple[float, int], ...]  # (score, ewes), scores rising
    low: float
    high: float
    thin: int
    on_target: int
    over: int
    thin_low: float
    thin_high: float

    @property
    def ewes(self) -> int:
        """Ewes scored."""
        return self.thin + self.on_target + self.over


@dataclass(frozen=True, slots=True)
class Outlook:
    """A group's projection to `ready_by`; the shares are None where it cannot be projected."""

    group: str
    now: float | None
    expected: float | None
    low: float | None
    high: float | None
    words: str


@dataclass(frozen=True, slots=True)
class Draw:
    """What to draw out of one group, and where it should graze."""

    group: str
    ewes: int
    to_gain: int
    unlikely: int
    over: int
    grazing: str
    advice: str


@dataclass(frozen=True, slots=True)
class LastDate:
    """The last useful dates for ewes of one score: usual and cautious, on best and ordinary grazing."""

    score: float
    ewes: int
    best: date
    best_cautious: date
    ordinary: date
    ordinary_cautious: date


@dataclass(frozen=True, slots=True)
class Ewe:
    """One identified ewe of the draw list; `chance` (0–1) is None where it cannot be projected."""

    group: str
    ewe: str
    score: float
    days_needed: float | None
    chance: float | None
    action: str
    rescore_by: date | None
    thin_sessions: int


@dataclass(frozen=True, slots=True)
class Brief:
    """One farm's visit brief."""

    masthead: Masthead
    verdict: str
    changed: tuple[str, ...]
    thin: str  # who is thin, in words
    session: str  # which session the pictures show
    scores: tuple[GroupScores, ...]  # ALL first, judged against the band of the session's stage
    deadlines: tuple[Deadline, ...]
    outlooks: tuple[Outlook, ...]
    draws: tuple[Draw, ...]
    last_dates: tuple[LastDate, ...]
    ready_by: date | None
    ewes: tuple[Ewe, ...]
    questions: tuple[str, ...]
    cautions: tuple[str, ...]
    sources: tuple[str, ...]
    tried: str = ""  # what was tried out on the farm's page, and what it showed
