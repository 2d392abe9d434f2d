"""Dates as they are written: ISO, or day first; never month first, never guessed."""

from __future__ import annotations

import re
from datetime import date

from pipelines.imports import catalogue
from pipelines.imports.problems import Fault

_TIME = r"(?:[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?Z?)?"
_ISO = re.compile(rf"(\d{{4}})([-/.])(\d{{1,2}})\2(\d{{1,2}}){_TIME}", re.ASCII)
_BASIC = re.compile(r"((?:19|20)\d{2})(\d{2})(\d{2})", re.ASCII)
_DAY_FIRST = re.compile(rf"(\d{{1,2}})([-/. ])(\d{{1,2}})\2(\d{{4}}){_TIME}", re.ASCII)
_NAMED = re.compile(r"(\d{1,2})(?:st|nd|rd|th)?[-/ ]([A-Za-z]{3,9})[-/ ,]+(\d{4})", re.ASCII)
_SHORT = re.compile(r"\d{1,2}[-/. ](?:\d{1,2}|[A-Za-z]{3,9})[-/. ]\d{2}", re.ASCII)
_SERIAL = re.compile(r"[2-9]\d{4}(?:[.,]\d+)?", re.ASCII)
_MONTHS = (
    ("jan", "january"), ("feb", "february"), ("mar", "march"), ("apr", "april"), ("may",), ("jun", "june"),
    ("jul", "july"), ("aug", "august"), ("sep", "sept", "september"), ("oct", "october"), ("nov", "november"),
    ("dec", "december"),
)  # fmt: skip
_MONTH = {name: number for number, names in enumerate(_MONTHS, start=1) for name in names}
EARLIEST_YEAR = 1980
YEARS_AHEAD = 2


def day(text: str, today: date) -> date | Fault | None:
    """The day written in a cell (`None` when blank); at most `YEARS_AHEAD` years after `today`."""
    words = " ".join(text.split())
    if not words:
        return None
    found = _read(words)
    if isinstance(found, date) and not EARLIEST_YEAR <= found.year <= today.year + YEARS_AHEAD:
        return catalogue.DATE_IMPLAUSIBLE(words)
    return found


def past_day(text: str, today: date) -> date | Fault | None:
    """The day written in a cell, which may not be after `today`."""
    found = day(text, today)
    if isinstance(found, date) and found > today:
        return catalogue.DATE_FUTURE(" ".join(text.split()), today=today.isoformat())
    return found


def is_ambiguous(text: str) -> bool:
    """Whether the cell would name another day if the month came first."""
    match = _DAY_FIRST.fullmatch(" ".join(text.split()))
    return match is not None and int(match[1]) <= 12 and int(match[1]) != int(match[3])


def _read(words: str) -> date | Fault:
    if match := _ISO.fullmatch(words):
        return _calendar_day(words, int(match[1]), int(match[3]), int(match[4]))
    if match := _DAY_FIRST.fullmatch(words):
        return _day_first(words, int(match[1]), int(match[3]), int(match[4]))
    if match := _BASIC.fullmatch(words):
        return _calendar_day(words, int(match[1]), int(match[2]), int(match[3]))
    if (match := _NAMED.fullmatch(words)) and match[2].lower() in _MONTH:
        return _calendar_day(words, int(match[3]), _MONTH[match[2].lower()], int(match[1]))
    if _SHORT.fullmatch(words):
        return catalogue.DATE_SHORT_YEAR(words)
    return (catalogue.DATE_SERIAL if _SERIAL.fullmatch(words) else catalogue.DATE_UNREADABLE)(words)


def _day_first(words: str, first: int, second: int, year: int) -> date | Fault:
    if second > 12 and 1 <= first <= 12:
        other = _calendar_day(words, year, first, second)
        if isinstance(other, date):
            return catalogue.DATE_MONTH_FIRST(words, iso=other.isoformat())
    return _calendar_day(words, year, second, first)


def _calendar_day(words: str, year: int, month: int, day_of_month: int) -> date | Fault:
    try:
        return date(year, month, day_of_month)
    except ValueError:
        return catalogue.DATE_IMPOSSIBLE(words)
