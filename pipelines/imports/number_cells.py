"""Counts and measures as they are written: exact, with a stated range, never rounded or guessed."""

from __future__ import annotations

import re

from pipelines.imports import catalogue
from pipelines.imports.problems import Fault

_WHOLE = re.compile(r"\d{1,9}", re.ASCII)
_DECIMAL = re.compile(r"(\d{1,9})(?:[.,](\d{1,6}))?", re.ASCII)
_SIGNED = re.compile(r"[-−]\d+(?:[.,]\d+)?", re.ASCII)
_NUMBERLIKE = re.compile(r"\+?\d[\d., ']*", re.ASCII)


def whole(text: str, column: str, low: int, high: int) -> int | Fault | None:
    """A whole number from `low` to `high`, digits only; `None` when blank."""
    words = text.strip()
    if _WHOLE.fullmatch(words):
        number = int(words)
        return number if low <= number <= high else _out_of_range(words, column, low, high)
    return _why_not(words, column) if words else None


def decimal(text: str, column: str, low: float, high: float) -> float | Fault | None:
    """A number from `low` to `high` with a decimal point or comma; `None` when blank."""
    words = text.strip()
    if match := _DECIMAL.fullmatch(words):
        number = float(f"{match[1]}.{match[2] or 0}")
        return number if low <= number <= high else _out_of_range(words, column, low, high)
    if not words:
        return None
    if _SIGNED.fullmatch(words):
        return catalogue.NUMBER_NEGATIVE(words, column=column)
    return catalogue.NUMBER_UNREADABLE(words, column=column)


def _out_of_range(words: str, column: str, low: float, high: float) -> Fault:
    return catalogue.NUMBER_OUT_OF_RANGE(words, column=column, low=low, high=high)


def _why_not(words: str, column: str) -> Fault:
    if _SIGNED.fullmatch(words):
        return catalogue.NUMBER_NEGATIVE(words, column=column)
    kind = catalogue.NUMBER_NOT_WHOLE if _NUMBERLIKE.fullmatch(words) else catalogue.NUMBER_UNREADABLE
    return kind(words, column=column)
