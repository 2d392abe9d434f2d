"""Feed for the gain: what brings each group's thin ewes to target by `ready_by`; pure."""

from __future__ import annotations

from dashboard.brief import words
from dashboard.brief.parts import Part
from dashboard.brief.tables import WHOLE, Row, Tables, rows
from pipelines.readiness.energy import Going, Range, Ration, ration, usual_feed

USUAL_WEIGHT = 70.0  # kg, the ewe of the reference's worked examples
_CAUTIONS = (
    "Change feed gradually, over a week or more, and see that every ewe can reach the trough.",
    "Sheep are easily poisoned by copper: check every feed and lick, and test before supplementing.",
    "A thin ewe that does not gain on this feed is worth examining with the vet.",
)


def feed(tables: Tables, weight: float = USUAL_WEIGHT) -> Part:
    """Energy, dry matter, supplement or hectares for each group's thin ewes; `weight` in kg live weight."""
    usual = usual_feed()
    ready_by = tables.dates().ready_by
    days = (ready_by - tables.as_of).days
    lines = [_line(tables, row, weight, days) for row in rows(tables.readiness) if row["group"] != WHOLE]
    return Part(
        title="Feed for the gain",
        sentences=(
            f"For ewes of {weight:.0f} kg, from {words.day(tables.as_of)} to {words.day(ready_by)}. Each "
            "range runs over the published systems of energy and of live weight per score, which disagree: "
            "it is the honest width, not a mistake.",
            f"Supplement carries the gain alone, grazing of {usual.pasture_mj:.1f} MJ/kg of dry matter "
            f"meeting maintenance; hectares carry it all, with {usual.cover:,.0f} kg of it to the hectare.",
        ),
        head=("Group, thin ewes", "MJ ME a day each", "kg DM a day each", "Supplement, kg", "or hectares"),
        lines=tuple(line for line in lines if line),
        cautions=_CAUTIONS,
        sources=(
            "Energy: NRC 1985 Table 1 (published; 10 g a day within maintenance from memory), IPCC 2019 "
            "Vol 4 Ch 10 (published; its energy of gain and share metabolised from memory), AFRC 1993 "
            "(from memory). Weight per score: FAS 2024, Teagasc, CSIRO 2007, van Burgel 2011, Semakula "
            "2020 (published). Feed values: common practice, to be replaced by the farm's own analysis. "
            "DM: dry matter.",
        ),
    )  # fmt: skip


def _line(tables: Tables, row: Row, weight: float, days: int) -> tuple[str, ...]:
    """One group; () where no ewe of it must gain, the reason where nothing can be worked out."""
    if words.missing(row.get("target_low")) or not words.number(row["ewes_to_gain"]):
        return ()
    low = float(row["target_low"])  # fed to the edge of the band, where a ewe is no longer thin
    latest = words.as_date(row["scored_on"])
    assert latest is not None, "a group that must gain was scored"
    thin = [(score, ewes) for score, ewes in tables.cells(latest, str(row["group"])) if score < low]
    ewes = sum(each for _, each in thin)
    mean = sum(score * each for score, each in thin) / ewes
    going: Going = "hill" if row.get("system") == "hill" else "flat"
    name = (
        f"{words.cut(str(row['group']), 30)}: {words.count(ewes, 'ewe')} at {mean:.2f} to {words.score(low)}"
    )
    try:
        found = ration(ewes, weight, mean, low, days, going)
    except ValueError as error:
        return (name, str(error), "", "", "")
    return (name, *_figures(found))


def _figures(found: Ration) -> tuple[str, ...]:
    energy, dry = _span(found.energy, 1), _span(found.dry_matter, 2)
    return energy, dry, _span(found.supplement, 0), _span(found.hectares, 1)


def _span(span: Range, digits: int) -> str:
    return f"{span.low:,.{digits}f}–{span.high:,.{digits}f}"
