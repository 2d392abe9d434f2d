"""Which farms can be released, and in which class: depends on no figure, see `pipelines.release`."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from pipelines.release.ledger import Entry, histories

SMALLEST = 3
_BANDS = (150, 400)  # ewes: under 150, 150–399, 400 and over


@dataclass(frozen=True, slots=True)
class Member:
    """What is known of a farm in the group besides its figures."""

    farm: str
    system: str
    ewes: int


@dataclass(frozen=True, slots=True)
class Class:
    """Farms that a release does not tell apart, and the words it has for them."""

    farms: tuple[str, ...]
    system: str
    flock_size: str


def classify(members: Sequence[Member], ledger: Sequence[Entry], choose: Random) -> list[Class]:
    """Classes of at least SMALLEST farms; members that fit none are left out.

    Farms are first parted by their history in earlier releases, then by system, then by flock size as far
    as numbers allow. `choose` draws the farms left out besides to cover those absent.
    """
    past = histories(ledger)
    by_history: dict[tuple[int | None, ...] | None, list[Member]] = defaultdict(list)
    for member in sorted(members, key=lambda member: member.farm):
        by_history[past.get(member.farm)].append(member)
    classes = []
    for history, present in by_history.items():
        known = sum(other == history for other in past.values()) if history else 0
        for part in _cover_absent(present, known, choose):
            classes += _by_size(part)
    return classes


def _cover_absent(present: list[Member], known: int, choose: Random) -> list[list[Member]]:
    """Parts by system of farms with one history, `known` of which there are (0: never released).

    Those of the history that are not in the parts are 0 or at least SMALLEST: else the difference from an
    earlier release would show who is absent, so further farms are left out until it does not.
    """
    while True:
        parts = [part for part in _by_system(present) if len(part) >= SMALLEST]
        absent = known - sum(map(len, parts))
        if not parts or absent <= 0 or absent >= SMALLEST:
            return parts
        present = [member for part in parts for member in part]
        present.remove(choose.choice(max(parts, key=len)))


def _by_system(members: list[Member]) -> list[list[Member]]:
    parts: dict[str, list[Member]] = defaultdict(list)
    for member in members:
        parts[member.system].append(member)
    return list(parts.values())


def _by_size(members: list[Member]) -> list[Class]:
    """Parts by band of flock size; bands next to each other are merged until each has SMALLEST farms."""
    parts: list[tuple[int, int, list[Member]]] = []
    first, gathered = 0, list[Member]()
    for band in range(len(_BANDS) + 1):
        gathered = gathered + [member for member in members if _band(member.ewes) == band]
        if len(gathered) >= SMALLEST:
            parts.append((first, band, gathered))
            first, gathered = band + 1, []
    if first <= len(_BANDS):
        start, _, last = parts.pop()
        parts.append((start, len(_BANDS), last + gathered))
    return [Class(tuple(m.farm for m in part), part[0].system, _words(*ends)) for *ends, part in parts]


def _band(ewes: int) -> int:
    return sum(ewes >= edge for edge in _BANDS)


def _words(first: int, last: int) -> str:
    """Words for bands `first` to `last`: a merged band is named by its ends."""
    low = _BANDS[first - 1] if first else None
    high = _BANDS[last] if last < len(_BANDS) else None
    if low is None and high is None:
        return "any size"
    if high is None:
        return f"{low} ewes and over"
    return f"under {high} ewes" if low is None else f"{low} to {high - 1} ewes"
