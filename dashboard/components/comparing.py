"""How standing, change and what it would take are said in words, on every page that says them."""

from __future__ import annotations

from typing import Any

from dashboard.components import words

_CERTAIN = 1e-6
_SURE = (
    (0.99, "almost certainly"),
    (0.9, "very likely"),
    (0.7, "likely"),
    (0.3, "cannot be told"),
    (0.1, "unlikely"),
    (0.0, "very unlikely"),
)


def likely(chance: float) -> str:
    """A chance (0–1) in words, with its figure: `very likely (94 %)`; plain where nearly every ewe was "
    "scored."""
    if not _CERTAIN < chance < 1 - _CERTAIN:
        return "yes" if chance > _CERTAIN else "no"
    said = next(said for least, said in _SURE if chance >= least)
    return f"{said} ({words.percent(chance)})"


def place(rank: Any, low: Any, high: Any, farms: int) -> str:
    """`3rd of 9 (2nd to 5th)`; with one place left `1st of 9`."""
    ends = "" if int(low) == int(high) else f" ({_ordinal(low)} to {_ordinal(high)})"
    return f"{_ordinal(rank)} of {farms}{ends}"


def change(value: float, low: float, high: float) -> str:
    """Change of a share, more being worse: `8 more in a hundred (2 to 14 more)`."""
    ends = "" if _more(low) == _more(high) else f" ({_more(low)} to {_more(high)})"
    clear = "" if low > 0 or high < 0 else "no clear change: "
    return f"{clear}{_more(value)} in a hundred{ends}"


def to_move(ewes: float, flock: float) -> str:
    """What it would take to join the best quarter."""
    if words.missing(ewes):
        return "too few flocks to say"
    if ewes == 0:
        return "in the best quarter"
    return f"about {int(ewes):,} of {words.count(flock, 'ewe')}"


def signed(score: float, digits: int = 2) -> str:
    """`+0.13`, `−0.47`."""
    return f"{score:+.{digits}f}".replace("-", "−")


def _more(share: float) -> str:
    number = round(abs(share) * 100)
    return "none" if number == 0 else f"{number} {'more' if share > 0 else 'fewer'}"


def _ordinal(number: Any) -> str:
    whole = int(number)
    ending = "th" if 10 <= whole % 100 <= 20 else {1: "st", 2: "nd", 3: "rd"}.get(whole % 10, "th")
    return f"{whole}{ending}"
