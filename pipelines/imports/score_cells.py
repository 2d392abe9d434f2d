"""Condition scores as they are written: a finite grammar, held as a table of every accepted text."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from types import MappingProxyType

from pipelines.imports import catalogue
from pipelines.imports.problems import Fault

_DECIMALS = {0: ("", "0", "00"), 25: ("25", "250"), 50: ("5", "50", "500"), 75: ("75", "750")}
_FRACTIONS = {25: ("¼", " ¼", " 1/4"), 50: ("½", " ½", " 1/2"), 75: ("¾", " ¾", " 3/4")}
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?", re.ASCII)
_DATE = re.compile(
    r"\d{1,2}[-/ ][A-Za-z]{3}|[A-Za-z]{3}[-/ ]\d{1,2}|\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}", re.ASCII
)


def _spellings(quarters: int) -> Iterator[str]:
    """Every accepted way to write `quarters` / 4."""
    whole, part = divmod(quarters * 25, 100)
    for decimals in _DECIMALS[part]:
        yield from (f"{whole}{mark}{decimals}" for mark in ".,") if decimals else (f"{whole}",)
    yield from (f"{whole}{fraction}" for fraction in _FRACTIONS.get(part, ()))
    if part == 25:
        yield f"{whole}+"
    if part == 75:
        yield from (f"{whole + 1}{minus}" for minus in "-−")


WRITTEN: Mapping[str, float] = MappingProxyType(
    {text: quarters / 4 for quarters in range(4, 21) for text in _spellings(quarters)}
)


def score(text: str) -> float | Fault:
    """The score written in a cell: 1 to 5 by quarters, as `2.5`, `2,5`, `2½`, `2 1/2`, `2+` or `3-`."""
    words = " ".join(text.split())
    found = WRITTEN.get(words)
    return found if found is not None else _why_not(words)


def _why_not(words: str) -> Fault:
    if not words:
        return catalogue.MISSING(column="score")
    if _NUMBER.fullmatch(words):
        inside = 1 <= float(words.replace(",", ".")) <= 5
        return catalogue.SCORE_STEP(words) if inside else catalogue.SCORE_OUT_OF_RANGE(words)
    if words in ("1-", "1−", "5+"):
        return catalogue.SCORE_OUT_OF_RANGE(words)
    if _DATE.match(words):
        return catalogue.SCORE_DATE(words)
    return catalogue.SCORE_UNREADABLE(words)
