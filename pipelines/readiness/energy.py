"""Energy, dry matter and feed to bring thin ewes to target, as the range over the published systems.

Systems differ by a third; the program shows all of them and never picks one silently. Figures and sources:
`pipelines/reference/energy.csv` and `condition_weight.csv`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Literal

import numpy as np

from pipelines import reference
from pipelines.reference import Figure

Going = Literal["flat", "hill"]
NRC_WEIGHTS = (50, 60, 70, 80, 90)
CAUTIONS = (
    "Change feed gradually, over ten days or more.",
    "Sheep are easily poisoned by copper: feed only what is made for sheep and test before supplementing.",
    "Thin ewes that do not gain on good feed are to be examined, with the flock's vet.",
)


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
    """MJ ME per ewe and day by one system: `maintenance` alone and `total` with the gain."""

    system: str
    maintenance: float
    total: float
    from_memory: bool


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
    """The adviser's own figures of the feed (see `usual_feed`): `pasture_mj` and `supplement_mj` in MJ ME per kg of dry matter.

    `supplement_dry` is the share of dry matter, `cover` the kg of dry matter on a hectare above what is
    left behind, `growth` the kg it grows per hectare and day, `eaten` the share that is eaten.
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
        _figure("feed", name) for name in ("pasture", "supplement", "supplement dry", "cover", "eaten")
    )
    return Feed(pasture, supplement, dry, cover, growth=0.0, eaten=eaten)


def kg_per_score(weight: float, score: float) -> dict[str, Range]:
    """Live weight of one score by each published system, for a ewe of `weight` kg at `score`.

    Systems that start from the weight at score 3 solve W + s (3 − score) W₃ = W₃ for it, s being their share.
    """
    entries = reference.figures("condition_weight")
    return {entry.keys["system"]: _kg_per_score(entry, weight, score) for entry in entries}


def _kg_per_score(entry: Figure, weight: float, score: float) -> Range:
    low, high = (bound if bound is not None else entry.value for bound in (entry.low, entry.high))
    assert low is not None and high is not None  # the table's own test asks for a number
    if entry.keys["basis"] == "fixed":
        return Range(low, high)
    if entry.keys["basis"] == "weight":
        return Range(low * weight, high * weight)
    return Range(low * weight / (1 - low * (3 - score)), high * weight / (1 - high * (3 - score)))


def _figure(system: str, name: str) -> float:
    value = reference.figure("energy", system=system, name=name).value
    assert value is not None
    return value


def nrc(weight: float, gain: float, _going: Going = "flat", _pasture_mj: float = 10.5) -> Need:
    """NRC 1985: MJ ME per day of a ewe of `weight` kg (50–90, beyond by extension) gaining `gain` kg/day.

    The table's maintenance rows hold a gain of 10 g a day, which is taken off.
    """
    per_kg, joule = _figure("NRC", "gain"), _figure("NRC", "MJ per Mcal")
    rows = [_figure("NRC", f"maintenance {row}") * joule for row in NRC_WEIGHTS]
    slope, at_zero = np.polyfit(NRC_WEIGHTS, rows, 1)
    still = at_zero + slope * weight - _figure("NRC", "gain at maintenance") * per_kg
    return Need("NRC 1985", float(still), float(still + per_kg * gain), False)


def maintenance_ratio(digestibility: float) -> float:
    """Net energy for maintenance per digestible energy (IPCC 2006/2019, REM); digestibility in percent."""
    d = digestibility
    return 1.123 - 0.004092 * d + 0.00001126 * d**2 - 25.4 / d


def gain_ratio(digestibility: float) -> float:
    """Net energy for gain per digestible energy (IPCC 2006/2019, REG, from memory)."""
    d = digestibility
    return 1.164 - 0.00516 * d + 0.00001308 * d**2 - 37.4 / d


def ipcc(weight: float, gain: float, going: Going = "flat", pasture_mj: float = 10.5) -> Need:
    """IPCC 2006/2019 Vol 4 Ch 10: MJ ME per day; the gain's coefficients and ME/DE are from memory."""
    share = _figure("IPCC", "ME per DE")
    digestible = 100 * pasture_mj / (share * _figure("IPCC", "gross energy"))
    net = _figure("IPCC", "maintenance") * weight**0.75 + _figure("IPCC", f"activity {going}") * weight
    still = share * net / maintenance_ratio(digestible)
    per_kg = _figure("IPCC", "gain constant") + _figure("IPCC", "gain per kg weight") * weight
    return Need("IPCC 2019", still, still + share * per_kg * gain / gain_ratio(digestible), True)


def afrc(weight: float, gain: float, going: Going = "flat", pasture_mj: float = 10.5) -> Need:
    """AFRC 1993 (from memory): MJ ME per day of a dry ewe."""
    q = pasture_mj / _figure("AFRC", "gross energy")
    fasting = _figure("AFRC", "fasting") * (weight / 1.08) ** 0.75
    still = (fasting + _figure("AFRC", f"activity {going}") * weight) / (0.35 * q + 0.503)
    return Need("AFRC 1993", still, still + _figure("AFRC", "gain") * gain / (0.78 * q + 0.006), True)


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
) -> Ration:
    """Feed for `ewes` of `weight` kg at a mean `score` to reach `target` in `days`.

    Raises `ValueError` with the reason when there is no time or no ewe, or the weight is not a ewe's.
    """
    if days <= 0:
        raise ValueError("no days are left before ready by: feeding cannot bring these ewes to target")
    if ewes <= 0 or not 20 <= weight <= 150:
        raise ValueError("give at least one ewe, and her live weight between 20 and 150 kg")
    feed = feed or usual_feed()
    kg = _spanned([bound for r in kg_per_score(weight, score).values() for bound in (r.low, r.high)])
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


def _spanned(values: list[float]) -> Range:
    return Range(min(values), max(values))
