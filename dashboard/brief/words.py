"""How a brief says shares, scores and dates; plain British English, independent of the machine's locale."""

from __future__ import annotations

import math
from datetime import date
from typing import Any

import pandas as pd

from dashboard.components import words as screen

SPACE = "\u00a0"  # keeps a number and its unit on one line
_MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
percent, between = screen.percent, screen.between  # a share reads on paper as it does on a screen
_QUARTERS = {0.0: "", 0.25: "¼", 0.5: "½", 0.75: "¾"}


def chance(value: float) -> str:
    """A chance (0–1) that follows from a model: never 'none' nor 'sure'."""
    return percent(min(max(value, 0.001), 0.999))


def score(value: float) -> str:
    """A condition score as the trade writes it: 2½, 2¼, 3; other values with two decimals."""
    whole = math.floor(value)
    quarter = _QUARTERS.get(round(value - whole, 6))
    return f"{value:.2f}" if quarter is None else f"{whole}{quarter}"


def day(when: date) -> str:
    """'3 Nov 2026'."""
    return f"{when.day}{SPACE}{_MONTHS[when.month - 1]}{SPACE}{when.year}"


def short_day(when: date) -> str:
    """'Tue 3 Nov', for lists where the year is plain from the context."""
    return f"{_WEEKDAYS[when.weekday()]}{SPACE}{when.day}{SPACE}{_MONTHS[when.month - 1]}"


def count(number: int, one: str, many: str | None = None) -> str:
    """'1 ewe', '41 ewes', '1,240 ewes'."""
    return f"{number:,}{SPACE}{one if number == 1 else many or one + 's'}"


def are(number: int) -> str:
    """'is' or 'are'."""
    return "is" if number == 1 else "are"


def listed(parts: list[str]) -> str:
    """'a', 'a and b', 'a, b and c'."""
    return " and ".join([", ".join(parts[:-1]), parts[-1]]) if len(parts) > 1 else "".join(parts)


def cut(text: str, longest: int) -> str:
    """The text, ended by … where it is longer than a printed line can hold."""
    return text if len(text) <= longest else text[: longest - 1].rstrip() + "…"


def as_date(value: Any) -> date | None:
    """A date out of a table's cell (date, timestamp, ISO text); None where there is none."""
    return None if missing(value) else pd.Timestamp(value).date()


def number(value: Any) -> float | None:
    """A table's cell as a number; None where there is none."""
    return None if missing(value) else float(value)


def missing(value: Any) -> bool:
    """Whether a table's cell holds nothing."""
    return value is None or bool(pd.isna(value))


def text(value: Any) -> str:
    """A table's cell as text, '' where there is none."""
    return "" if missing(value) else str(value)
