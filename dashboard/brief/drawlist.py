"""Draw lists: a CSV that keeps its tags in a spreadsheet, and plain numbers for a stick reader."""

from __future__ import annotations

import csv
import re
from collections.abc import Sequence
from io import StringIO

from dashboard.brief import words
from dashboard.brief.content import Ewe
from dashboard.spreadsheet import as_text, printed_tag

_ELECTRONIC = re.compile(r"\d{15}", re.ASCII)
COLUMNS = ("farm", "group", "ewe", "score", "action", "chance_ready_percent", "days_needed", "rescore_by")


def spreadsheet(farm: str, ewes: Sequence[Ewe]) -> bytes:
    """The draw list as CSV (UTF-8 with a byte-order mark, without which Excel misreads accents)."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    writer.writerows(_cells(farm, ewe) for ewe in ewes)
    return out.getvalue().encode("utf-8-sig")


def _cells(farm: str, ewe: Ewe) -> tuple[str, ...]:
    return (
        as_text("farm", farm),
        as_text("group", ewe.group),
        printed_tag(ewe.ewe),
        f"{ewe.score:g}",
        ewe.action,
        "" if ewe.chance is None else f"{ewe.chance * 100:.0f}",
        "" if ewe.days_needed is None else f"{ewe.days_needed:.0f}",
        "" if ewe.rescore_by is None else ewe.rescore_by.isoformat(),
    )


def stick_reader(ewes: Sequence[Ewe]) -> bytes:
    """The electronic numbers, 15 digits a line; a ewe without one cannot be read and is left out."""
    numbers = sorted({ewe.ewe for ewe in ewes if _ELECTRONIC.fullmatch(ewe.ewe)})
    return "".join(f"{number}\r\n" for number in numbers).encode("ascii")


def files(farm: str, ewes: Sequence[Ewe]) -> dict[str, bytes]:
    """Every draw-list file by name: the spreadsheet, and a stick reader's list for each action."""
    found = {"draw-list.csv": spreadsheet(farm, ewes)}
    for action in sorted({ewe.action for ewe in ewes}):
        numbers = stick_reader([ewe for ewe in ewes if ewe.action == action])
        if numbers:
            found[f"stick-{_file_name(action)}.txt"] = numbers
    return found


def without_number(ewes: Sequence[Ewe]) -> str:
    """What to say of the ewes that a stick reader cannot find; '' when there are none."""
    missing = sum(_ELECTRONIC.fullmatch(ewe.ewe) is None for ewe in ewes)
    if not missing:
        return ""
    return f"{words.count(missing, 'ewe')} without a 15-digit number: in draw-list.csv only."


def _file_name(action: str) -> str:
    return re.sub(r"[^a-z0-9]+", "-", action.lower()).strip("-") or "other"
