"""A session as the rows of a file, and rows as bytes."""

from __future__ import annotations

import csv
import io
from collections import Counter
from collections.abc import Iterable, Sequence
from random import Random

from demo_farms.chance import normal
from demo_farms.hands import Hand, tag, written_date
from demo_farms.sessions import Scored, Session

Row = list[str]

_EWE_WEIGHT = {"lowland": 75, "upland": 68, "hill": 55}  # kg at score 3, the demo's own choice
_WEIGHT_PER_SCORE = 0.12  # of her weight: inside the published 10 to 15 %


def rounded(read: float, step: float) -> float:
    """A reading as it is called out: to the step, from 1 to 5."""
    return min(5.0, max(1.0, round(read / step) * step))


def header(hand: Hand) -> Row:
    """Headings as this hand writes them; a wide tally ends in one heading per score."""
    headings = [heading for heading, _ in hand.columns]
    return headings + [hand.score(score) for score in _steps(hand)] if hand.layout == "wide" else headings


def rows(session: Session, hand: Hand, turn: int, rng: Random) -> list[Row]:
    """Data rows of one session; `turn` is its place among the farm's sessions and decides the form of tag."""
    if hand.layout == "individual":
        form = hand.tags[turn % len(hand.tags)]
        return [_ewe_row(session, hand, scored, form, rng) for scored in session.scored]
    groups: dict[tuple[str, str], Counter[float]] = {}
    for scored in session.scored:
        counts = groups.setdefault((scored.group, scored.grazing), Counter())
        counts[rounded(scored.read, hand.step)] += 1
    group_rows = _wide_rows if hand.layout == "wide" else _tally_rows
    return group_rows(session, hand, sorted(groups.items(), key=lambda group: group[0]))


def encoded(lines: Iterable[Sequence[str]], hand: Hand) -> bytes:
    """The file's bytes; UTF-16 is little endian with its mark, as spreadsheets write it."""
    text = io.StringIO()
    csv.writer(text, delimiter=hand.delimiter, lineterminator=hand.line_end).writerows(lines)
    if hand.encoding == "utf-16":
        return b"\xff\xfe" + text.getvalue().encode("utf-16-le")
    return text.getvalue().encode(hand.encoding)


def _steps(hand: Hand) -> list[float]:
    return [1 + i * hand.step for i in range(int(4 / hand.step) + 1)]


def _ewe_row(session: Session, hand: Hand, scored: Scored, form: str, rng: Random) -> Row:
    cells = _cells(session, hand, scored.group, scored.grazing) | {
        "ewe": tag(scored.ewe, form),
        "score": hand.score(rounded(scored.read, hand.step)),
        "age": str(session.season - scored.ewe.born),
        "weight_kg": f"{_weight(session, scored, rng):.1f}",
    }
    cells |= _examined(scored, session.season, rng)
    return [cells[column] for _, column in hand.columns]


def _tally_rows(
    session: Session, hand: Hand, groups: Sequence[tuple[tuple[str, str], Counter[float]]]
) -> list[Row]:
    lines = []
    for (group, grazing), counts in groups:
        for score, ewes in sorted(counts.items()):
            cells = _cells(session, hand, group, grazing) | {"score": hand.score(score), "count": str(ewes)}
            lines.append([cells[column] for _, column in hand.columns])
    return lines


def _wide_rows(
    session: Session, hand: Hand, groups: Sequence[tuple[tuple[str, str], Counter[float]]]
) -> list[Row]:
    lines = []
    for (group, grazing), counts in groups:
        cells = _cells(session, hand, group, grazing)
        named = [cells[column] for _, column in hand.columns]
        lines.append(named + [str(counts[score] or hand.zero) for score in _steps(hand)])
    return lines


def _cells(session: Session, hand: Hand, group: str, grazing: str) -> dict[str, str]:
    return {
        "farm": session.farm.code,
        "scored_on": written_date(hand, session.scored_on),
        "group": group,
        "stage": session.stage,
        "scorer": session.farm.scorer,
        "breed": session.farm.breed,
        "note": "",
        "grazing": grazing,
    }


def _weight(session: Session, scored: Scored, rng: Random) -> float:
    at_three = _EWE_WEIGHT[session.farm.system] - (8 if session.season - scored.ewe.born == 1 else 0)
    return normal(rng, at_three * (1 + _WEIGHT_PER_SCORE * (scored.true - 3)), 3.0)


def _examined(scored: Scored, season: int, rng: Random) -> dict[str, str]:
    """What the shepherd noticed at the race; old and wasting ewes have more to notice."""
    worn = season - scored.ewe.born >= 6 or scored.ewe.wasting
    return {
        "teeth": "broken" if rng.random() < (0.2 if worn else 0.01) else "full",
        "lame": "yes" if rng.random() < (0.1 if worn else 0.03) else "no",
        "udder": "lump" if rng.random() < 0.02 else "sound",
    }
