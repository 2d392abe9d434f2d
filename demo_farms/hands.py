"""How each farm writes: every layout, notation, delimiter and encoding allowed is some farm's habit."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date
from typing import Literal

from demo_farms.growth import Ewe

Layout = Literal["individual", "tally", "wide"]
Columns = tuple[tuple[str, str], ...]
"""Headings in the order of the file: as written, and the contract's name for it."""


@dataclass(frozen=True, slots=True)
class Hand:
    """One way of writing a session file. `tags` take turns by session; `season_file` puts a season in one."""

    layout: Layout
    columns: Columns
    step: float = 0.5
    score: Callable[[float], str] = "{:g}".format
    date_format: str = "%Y-%m-%d"
    delimiter: str = ","
    encoding: str = "utf-8"
    line_end: str = "\n"
    tags: tuple[str, ...] = ("iso15",)
    season_file: bool = False
    zero: str = "0"


def decimal_comma(score: float) -> str:
    """`2,5`."""
    return f"{score:g}".replace(".", ",")


def half_sign(score: float) -> str:
    """`2½`; half and whole scores only."""
    return f"{int(score)}½" if score % 1 else f"{score:g}"


def written_half(score: float) -> str:
    """`2 1/2`; half and whole scores only."""
    return f"{int(score)} 1/2" if score % 1 else f"{score:g}"


def plus_and_minus(score: float) -> str:
    """`2+` for 2.25 and `3-` for 2.75."""
    whole = int(score)
    return {0.25: f"{whole}+", 0.75: f"{whole + 1}-"}.get(score % 1, f"{score:g}")


def tag(ewe: Ewe, form: str) -> str:
    """The ewe's identity as ISO 11784 (15 digits, or 16 with a leading zero), as printed, or the farm's own.

    Flock marks 9900xx and 9901xx are invented for the demo and stand for no holding.
    """
    forms = {
        "iso15": f"8260{ewe.mark:06}{ewe.number:05}",
        "iso16": f"08260{ewe.mark:06}{ewe.number:05}",
        "printed": f"UK 0 {ewe.mark:06} {ewe.number:05}",
        "short": f"{'ROYGBV'[ewe.born % 6]}{ewe.number:03}",
    }
    return forms[form]


def written_date(hand: Hand, day: date) -> str:
    """The day as this hand writes dates: ISO, or day first."""
    return day.strftime(hand.date_format)


def _columns(text: str) -> Columns:
    """`heading=column` pairs, parted by `|`; a heading that is the contract's own name stands alone."""
    pairs = (part.partition("=") for part in text.split("|"))
    return tuple((heading, column or heading) for heading, _, column in pairs)


_DAY_FIRST = "%d/%m/%Y"

HANDS = {
    "weigh_head": Hand(
        "individual", _columns("farm|scored_on|group|EID=ewe|BCS=score|scorer|age|weight_kg|grazing")
    ),
    "stick_reader": Hand(
        "individual",
        _columns("Ear tag=ewe|Condition score=score|Mob=group|Scored on=scored_on|Farm=farm"),
        date_format=_DAY_FIRST,
        delimiter="\t",
        encoding="utf-16",
        line_end="\r\n",
        tags=("iso15", "printed"),
    ),
    "phone": Hand(
        "individual",
        _columns("farm|scored_on|mob=group|ewe id=ewe|score|scorer|note|grazing"),
        step=0.25,
        score=plus_and_minus,
        tags=("printed", "iso15"),
    ),
    "spreadsheet": Hand(
        "individual",
        _columns(
            "Farm=farm|Scored on=scored_on|Management group=group|Tag=ewe|Condition score=score"
            "|Scorer=scorer|Teeth=teeth|Lame=lame|Udder=udder"
        ),
        score=decimal_comma,
        date_format=_DAY_FIRST,
        delimiter=";",
        encoding="cp1252",
        line_end="\r\n",
    ),
    "handheld": Hand(
        "individual",
        _columns("farm|stage|scored_on|group|EID=ewe|BCS=score|breed|grazing"),
        step=0.25,
        encoding="utf-8-sig",
        tags=("iso16",),
    ),
    "short_tags": Hand(
        "individual",
        _columns("farm|scored_on|stage|group|tag=ewe|score|age|lame"),
        tags=("short",),
    ),
    "notebook": Hand(
        "tally",
        _columns("farm|scored_on|group|score|count|scorer|note"),
        score=half_sign,
        encoding="utf-8-sig",
    ),
    "abroad": Hand(
        "tally",
        _columns("FARM=farm|SCORED ON=scored_on|GROUP=group|BCS=score|COUNT=count|SCORER=scorer"),
        step=0.25,
        score=decimal_comma,
        date_format=_DAY_FIRST,
        delimiter=";",
        encoding="cp1252",
        line_end="\r\n",
    ),
    "clipboard": Hand(
        "tally",
        _columns("farm|scored_on|mob=group|score|count|grazing|breed"),
        score=written_half,
        delimiter="\t",
        season_file=True,
    ),
    "office": Hand("wide", _columns("farm|scored_on|group|grazing|scorer"), season_file=True),
    "ledger": Hand(
        "wide",
        _columns("Farm=farm|Scored on=scored_on|Mob=group|Stage=stage"),
        step=0.25,
        score=decimal_comma,
        date_format=_DAY_FIRST,
        delimiter=";",
        encoding="cp1252",
        line_end="\r\n",
        zero="",
    ),
}
