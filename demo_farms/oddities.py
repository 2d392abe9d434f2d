"""What goes wrong on real farms, put in on purpose: broken rows, a file sent twice, scorers side by side."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from random import Random

from demo_farms.chance import normal, some
from demo_farms.hands import HANDS, Hand, plus_and_minus, tag, written_date
from demo_farms.layouts import Row, encoded, rounded
from demo_farms.sessions import SCORER_ERROR, SEED, Season, Session
from demo_farms.valley import SCORER_BIAS

RECALIBRATION = "recalibration pair"
"""`note` of a row in which a further scorer reads a ewe the farm's own scorer has scored that day: such a row
is for agreement statistics and is not a ewe of the session."""

_BROKEN = ("WEXN13", 2026, "pre-tupping")
_SENT_TWICE = ("QUIL01", 2025, "pre-tupping")
_SIDE_BY_SIDE = {
    ("QUIL01", 2026, "pre-tupping"): ("Zoë",),
    ("TARV10", 2025, "pre-tupping"): ("Tam", "Zoë"),
}
_PAIR_COLUMNS = tuple(
    (name, name) for name in ("farm", "scored_on", "group", "ewe", "score", "scorer", "note")
)


def with_broken_rows(session: Session, hand: Hand, lines: Sequence[Row]) -> list[Row]:
    """The rows, four of them spoilt when this is the session that was written in the rain."""
    if _key(session) != _BROKEN:
        return list(lines)
    column = [name for _, name in hand.columns].index
    spoilt = [list(line) for line in lines]
    spoilt[10][column("score")] = "7"
    spoilt[25][column("score")] = ""
    spoilt[40].insert(column("score"), "2")
    spoilt[55][column("ewe")] = "8.26099E+14"
    return spoilt


def extra_files(seasons: Sequence[Season], files: dict[str, bytes]) -> dict[str, bytes]:
    """Files beside the farms' own sessions: the copy of one, and the recalibration sheets."""
    sessions = {_key(session): session for season in seasons for session in season.sessions}
    sent_twice = f"QUIL01-{sessions[_SENT_TWICE].scored_on}"
    copy = {f"{sent_twice} (1).csv": files[f"{sent_twice}.csv"]}
    sheets = {
        f"{key[0]}-{sessions[key].scored_on}-recalibration.csv": _sheet(sessions[key], scorers)
        for key, scorers in _SIDE_BY_SIDE.items()
    }
    return copy | sheets


def _sheet(session: Session, scorers: Sequence[str]) -> bytes:
    """Further scorers' readings of 45 ewes; the farm's own scorer's are in the session's file."""
    own = HANDS[session.farm.hand]
    hand = replace(HANDS["phone"], columns=_PAIR_COLUMNS, step=own.step, score=plus_and_minus)
    rng = Random(f"{SEED}/recalibration/{session.farm.code}")
    ewes = some(rng, session.scored, 45)
    lines = [[name for name, _ in _PAIR_COLUMNS]]
    for scorer in scorers:
        for scored in ewes:
            read = normal(rng, scored.true + SCORER_BIAS[scorer], SCORER_ERROR)
            score = hand.score(rounded(read, hand.step))
            day = written_date(hand, session.scored_on)
            lines.append(
                [session.farm.code, day, scored.group, tag(scored.ewe, "iso15"), score, scorer, RECALIBRATION]
            )
    return encoded(lines, hand)


def _key(session: Session) -> tuple[str, int, str]:
    return session.farm.code, session.season, session.stage
