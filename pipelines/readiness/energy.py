"""Energy, dry matter and feed to bring thin ewes to target, as the range over the published systems.

Systems differ by a third; the program shows all of them and never picks one silently. Figures and sources:
`pipelines/reference/` in `energy`, `energy_nrc_1985`, `weight_per_score` and `feed`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np

from pipelines import reference
from pipelines.reference import Figure

Going = Literal["flat", "hill"]


@dataclass(frozen=True, slots=True)
class Range:
    """Smallest and largest figure over the published systems."""

    low: float
    high: float

    def times(self, factor: float) -> Range:
        """The range of so many times as much."""
        return Range(self.low * factor, self.high * factor)


@dataclass(frozen=True, slots=True)
class Need:
    """MJ ME per ewe and day by one system: `maintenance` alone and `total` with the gain.

    `from_memory` names what in it was not checked against the source; empty when all was.
    """

    system: str
    maintenance: float
    total: float
    from_memory: str


@dataclass(frozen=True, slots=True)
class Ration:
    """What a group needs until `ready_by`; ranges run over systems of energy and of weight per score.

    `needs` are those at the middle of `kg_per_score`. Energy in MJ ME and dry matter in kg per ewe and day,
    `energy_total` in MJ and `dry_matter_total` in kg for the group. `supplement` is the kg (fresh) for the
    group that carries the gain alone, grazing meeting maintenance; `hectares` of pasture carry all of it.
    """

    kg_per_score: Range
    gain_per_day: Range
    needs: tuple[Need, ...]
    energy: Range
    energy_total: Range
    dry_matter: Range
    dry_matter_total: Range
    supplement: Range
    hectares: Range


@dataclass(frozen=True, slots=True)
class Feed:
    """The adviser's own figures of the feed (see `usual_feed`).

    `pasture_mj` and `supplement_mj` in MJ ME per kg of dry matter; `supplement_dry` the share of dry matter;
    `cover` the kg of dry matter on a hectare above what is left behind, `growth` the kg it grows per hectare
    and day, `eaten` the share that is eaten.
    """

    pasture_mj: float
    supplement_mj: float
    supplement_dry: float
    cover: float
    growth: float
    eaten: float


@cache
def usual_feed() -> Feed:
    """Where an adviser starts from; no growth of the pasture is counted on."""
    pasture, supplement, dry, cover, eaten = (
        reference.number("feed", figure=name)
        for name in ("pasture", "supplement", "supplement dry", "cover", "eaten")
    )
    return Feed(pasture, supplement, dry, cover, growth=0.0, eaten=eaten)


def weight_systems() -> tuple[str, ...]:
    """Names of the published systems of live weight per score."""
    return tuple(entry.keys["figure"] for entry in _weight_entries())


def _weight_entries() -> list[Figure]:
    return [entry for entry in reference.figures("weight_per_score") if entry.how_known != "derived"]


def kg_per_score(weight: float, score: float) -> dict[str, Range]:
    """Live weight of one score by each published system, for a ewe of `weight` kg at `score`.

    Systems that start from the weight at score 3 solve W + s (3 − score) W₃ = W₃ for it, s being their share.
    """
    return {entry.keys["figure"]: _kg_per_score(entry, weight, score) for entry in _weight_entries()}


def _kg_per_score(entry: Figure, weight: float, score: float) -> Range:
    low, high = (bound if bound is not None else entry.value for bound in (entry.low, entry.high))
    assert low is not None and high is not None  # the table's own test asks for a number
    if entry.unit == "kg per score":
        return Range(low, high)
    if "live weight" in entry.unit:
        return Range(low * weight, high * weight)
    return Range(low * weight / (1 - low * (3 - score)), high * weight / (1 - high * (3 - score)))


def nrc(weight: float, gain: float, _going: Going = "flat", _pasture_mj: float = 10.5) -> Need:
    """NRC 1985: MJ ME per day of a ewe of `weight` kg (50–90, beyond by extension) gaining `gain` kg/day.

    The table's maintenance rows hold a gain of 10 g a day, which is taken off.
    """
    per_kg = reference.number("energy", system="NRC", figure="energy of gain")
    joule = reference.number("energy", figure="energy unit")
    rows = [row for row in reference.figures("energy_nrc_1985") if row.keys["state"] == "maintenance"]
    weights = [float(row.keys["weight_kg"]) for row in rows]
    daily = [joule * row.value for row in rows if row.value is not None]
    slope, at_zero = np.polyfit(weights, daily, 1)
    within = reference.number("energy", system="NRC", figure="gain within maintenance") / 1000
    still = at_zero + slope * weight - within * per_kg
    return Need("NRC 1985", float(still), float(still + per_kg * gain), "10 g a day within maintenance")


def maintenance_ratio(digestibility: float) -> float:
    """Net energy for maintenance per digestible energy (IPCC 2006/2019, REM); digestibility in percent."""
    return _ratio(digestibility, "energy", "REM")


def gain_ratio(digestibility: float) -> float:
    """Net energy for gain per digestible energy (IPCC 2006/2019, REG, from memory)."""
    return _ratio(digestibility, "feed", "REG")


def _ratio(digestibility: float, table: str, name: str) -> float:
    d = digestibility
    powers = {"constant": 1.0, "per D": d, "per D squared": d**2, "per 1/D": 1 / d}
    return sum(reference.number(table, figure=f"{name} {part}") * power for part, power in powers.items())


def ipcc(weight: float, gain: float, going: Going = "flat", pasture_mj: float = 10.5) -> Need:
    """IPCC 2006/2019 Vol 4 Ch 10: MJ ME per day; the gain's coefficients and ME/DE are from memory."""
    share = reference.number("feed", figure="metabolisable per digestible energy")
    digestible = 100 * pasture_mj / (share * reference.number("feed", figure="gross energy of feed (IPCC)"))
    usual = reference.number("energy", figure="net energy for maintenance, sheep over one year")
    ground = "flat pasture" if going == "flat" else "hills"
    walking = reference.number("energy", figure=f"activity on {ground}")
    still = share * (usual * weight**0.75 + walking * weight) / maintenance_ratio(digestible)
    constant = reference.number("feed", figure="net energy for gain, constant (IPCC)")
    per_kg = constant + reference.number("feed", figure="net energy for gain, per kg weight (IPCC)") * weight
    total = still + share * per_kg * gain / gain_ratio(digestible)
    return Need("IPCC 2019", still, total, "energy of the gain, activity on hills, share metabolised")


def afrc(weight: float, gain: float, going: Going = "flat", pasture_mj: float = 10.5) -> Need:
    """AFRC 1993 (from memory): MJ ME per day of a dry ewe."""
    q = pasture_mj / _afrc("gross energy of feed")
    fasted = weight / _afrc("live weight over fasted weight")
    hill = reference.number("feed", figure="activity, hill (AFRC)")
    walking = (hill if going == "hill" else _afrc("activity, lowland")) * weight
    still = (_afrc("fasting metabolism") * fasted**0.75 + walking) / _efficiency("km", q)
    total = still + _afrc("live-weight change") * gain / _efficiency("kf", q)
    return Need("AFRC 1993", still, total, "all its figures")


def _afrc(figure: str) -> float:
    return reference.number("energy", system="AFRC", figure=figure)


def _efficiency(name: str, q: float) -> float:
    """Net energy per metabolisable energy at metabolisability `q`: km to maintain, kf to gain."""
    return _afrc(f"{name} per qm") * q + _afrc(f"{name} constant")


def needs(weight: float, gain: float, going: Going = "flat", pasture_mj: float = 10.5) -> tuple[Need, ...]:
    """MJ ME per ewe and day by every published system: `weight` kg, `gain` kg per day."""
    return tuple(system(weight, gain, going, pasture_mj) for system in (nrc, ipcc, afrc))


def ration(
    ewes: int,
    weight: float,
    score: float,
    target: float,
    days: int,
    going: Going = "flat",
    feed: Feed | None = None,
    system: str | None = None,
) -> Ration:
    """Feed for `ewes` of `weight` kg at a mean `score` to reach `target` in `days`.

    `system` is one of `weight_systems`; None takes the range over all of them.

    Raises `ValueError` with the reason when there is no time or no ewe, or the weight is not a ewe's.
    """
    if days <= 0:
        raise ValueError("no days are left before ready by: feeding cannot bring these ewes to target")
    if ewes <= 0 or not 20 <= weight <= 150:
        raise ValueError("give at least one ewe, and her live weight between 20 and 150 kg")
    feed = feed or usual_feed()
    per_score = kg_per_score(weight, score)
    kg = per_score[system] if system else _joined(per_score.values())
    gain = kg.times(max(target - score, 0) / days)
    by_gain = [needs(weight, each, going, feed.pasture_mj) for each in (gain.low, gain.high)]
    energy = _spanned([need.total for each in by_gain for need in each])
    extra = _spanned([need.total - need.maintenance for each in by_gain for need in each])
    dry = energy.times(1 / feed.pasture_mj)
    carried = (feed.cover + feed.growth * days) * feed.eaten
    return Ration(
        kg_per_score=kg,
        gain_per_day=gain,
        needs=needs(weight, (gain.low + gain.high) / 2, going, feed.pasture_mj),
        energy=energy,
        energy_total=energy.times(ewes * days),
        dry_matter=dry,
        dry_matter_total=dry.times(ewes * days),
        supplement=extra.times(ewes * days / (feed.supplement_mj * feed.supplement_dry)),
        hectares=dry.times(ewes * days / carried),
    )


def _joined(ranges: Iterable[Range]) -> Range:
    return _spanned([bound for each in ranges for bound in (each.low, each.high)])


def _spanned(values: list[float]) -> Range:
    return Range(min(values), max(values))
