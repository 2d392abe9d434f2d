"""Numbers and dates as a vet reads them: British English, sensible digits, never a blank or NaN."""

from __future__ import annotations

import re
from datetime import date, datetime
from typing import Any

import pandas as pd

from pipelines.readiness import words

NO_FIGURE = "not known"
PERCENT = "\u00a0%"  # kept on the line of its number
DAY_OF = re.compile(r"\b(\d{1,2}) (?=(?:Jan|Feb|Mar|Apr|May|Jun|Jul|Aug|Sep|Oct|Nov|Dec)\b)")


def missing(value: Any) -> bool:
    """Whether a cell holds nothing: None, NaN or NaT."""
    # NaN and NaT alone differ from themselves; `pd.isna` takes ten times as long and is asked of every cell
    return value is None or value is pd.NA or bool(value != value)


def percent(share: float | None) -> str:
    """`0.614` → `61 %`; a share that is nearly nothing or nearly all is not rounded to it."""
    if share is None or missing(share):
        return NO_FIGURE
    return words.percent(share).replace(" %", PERCENT)


def between(low: float | None, high: float | None) -> str:
    """`between 61 % and 78 %`; one figure when both ends read the same or one end is nothing or all."""
    if low is None or high is None or missing(low) or missing(high):
        return NO_FIGURE
    if percent(low) == percent(high):
        return f"about {percent(low)}"
    return words.between(low, high).replace(" %", PERCENT)


def day(value: Any) -> str:
    """`3 Aug 2026`."""
    if missing(value):
        return NO_FIGURE
    when = as_date(value)
    return f"{when.day} {when:%b %Y}"


def short_day(value: Any) -> str:
    """`3 Aug`, where the year is plain from the page."""
    return NO_FIGURE if missing(value) else day(value).rsplit(" ", 1)[0]


def as_date(value: Any) -> date:
    """A date cell of any of the kinds that pandas and DuckDB hand over."""
    return value.date() if isinstance(value, datetime) else date.fromisoformat(str(value)[:10])


def count(number: Any, one: str, many: str | None = None) -> str:
    """`1 ewe`, `1,204 ewes`."""
    if missing(number):
        return f"{NO_FIGURE} {many or one + 's'}"
    whole = int(number)
    return f"{whole:,} {one if whole == 1 else many or one + 's'}"


def days_away(days: Any) -> str:
    """Days left as words: `in 63 days`, `today`, `5 days ago`."""
    if missing(days):
        return NO_FIGURE
    whole = int(days)
    if whole == 0:
        return "today"
    return f"in {count(whole, 'day')}" if whole > 0 else f"{count(-whole, 'day')} ago"


def listed(parts: list[str]) -> str:
    """`a, b and c`."""
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}" if parts else ""


def unbroken(text: str) -> str:
    """`text` in which no line parts a day from its month or a number from its per cent."""
    return DAY_OF.sub("\\1\u00a0", text.replace(" %", PERCENT))


def sentence(text: str) -> str:
    """First letter large, one full stop at the end; days are kept on the line of their month."""
    trimmed = unbroken(text.strip())
    if not trimmed:
        return ""
    return trimmed[0].upper() + trimmed[1:] + ("" if trimmed.endswith((".", "?", "!")) else ".")


def text(value: Any, otherwise: str = NO_FIGURE) -> str:
    """A text cell, or `otherwise` when it is empty."""
    return otherwise if missing(value) or not str(value).strip() else str(value)
