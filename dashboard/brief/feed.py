"""Feed for the gain: what brings each group's thin ewes to target by `ready_by`; pure."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from datetime import date

from dashboard.brief import words
from dashboard.brief.choices import Choices
from dashboard.brief.parts import Part, source, sources
from dashboard.brief.tables import WHOLE, Row, Tables, rows
from pipelines import reference
from pipelines.readiness.energy import (
    Feed,
    Going,
    Range,
    Ration,
    kg_per_score,
    needs,
    ration,
    usual_feed,
    weight_systems,
)

TITLE = "Feed for the gain"
GAIN = 0.1  # kg a day, the gain of the table of NRC 1985 when flushing


def feed(tables: Tables, choices: Choices) -> Part:
    """Energy, dry matter, supplement or hectares for each group's thin ewes, as the range over systems."""
    given, poor = feed_values(choices), _poor(choices)
    named = ("pasture", "supplement", "cover", *(["average hay eaten", "ripe hay"] if poor else []))
    ready_by = tables.dates().ready_by
    if ready_by <= tables.as_of:
        return _too_late(ready_by)
    lines = [_line(tables, row, choices) for row in rows(tables.readiness) if row["group"] != WHOLE]
    weight = f"{choices.weight:g}{words.SPACE}kg"
    of_score = (
        f"of energy, and {choices.system}'s of live weight per score,"
        if choices.system
        else "of energy and of live weight per score, which disagree:"
    )
    return Part(
        title=TITLE,
        sentences=(
            f"For ewes of {weight}, from {words.day(tables.as_of)} to {words.day(ready_by)}. Each range runs "
            f"over the published systems {of_score} it is the honest width, not a mistake.",
            f"Supplement ({given.supplement_mj:g} MJ/kg of dry matter) carries the gain alone, grazing of "
            f"{given.pasture_mj:g} MJ/kg of dry matter meeting maintenance; hectares carry it all, with "
            f"{given.cover:,.0f} kg of dry matter on each, of which {words.percent(given.eaten)} is eaten.",
            *([] if any(lines) else [_nobody(tables)]),
        ),
        head=("Group, thin ewes", "MJ ME a day each", "kg DM a day each", "MJ ME in total", "kg DM in total",
              "Supplement, kg", "or hectares"),
        lines=tuple(line for line in lines if line),
        cautions=(*poor, *reference.cautions("feeding", "health", "thin")),
        sources=(
            "Energy: NRC 1985, IPCC 2019, AFRC 1993, as in the table by system. Feed values: "
            + sources(reference.figure("feed", figure=name) for name in named)
            + ". ME: metabolisable energy; DM: dry matter.",
        ),
    )  # fmt: skip


def _too_late(ready_by: date) -> Part:
    return Part(
        title=TITLE,
        sentences=(
            f"The day to be ready, {words.day(ready_by)}, has come: no feed brings these ewes to target for "
            "this tupping.",
        ),
        cautions=reference.cautions("feeding", "health", "thin"),
    )


def _nobody(tables: Tables) -> str:
    if tables.readiness.empty:
        return "Nobody knows which ewes are thin: score the flock, then plan what to feed."
    return "No group has thin ewes that must gain."


def _poor(choices: Choices) -> tuple[str, ...]:
    """That on grazing as poor as hay or straw a ewe cannot gain: she does not eat enough of it to hold.

    How much is eaten is known of average hay; of poorer feed it is no more.
    """
    pasture, weight = feed_values(choices).pasture_mj, choices.weight
    eaten = reference.number("feed", figure="average hay eaten") * weight
    hold = min(each.maintenance for each in needs(weight, GAIN, "flat", pasture))
    if pasture >= reference.number("feed", figure="average hay") or eaten * pasture >= hold:
        return ()
    return (
        f"Grazing of {pasture:g} MJ/kg is as poor as hay or straw: a ewe of {weight:g} kg eats about "
        f"{eaten:.2f} kg of dry matter of it a day, {eaten * pasture:.1f} MJ, and needs at least {hold:.1f} "
        "to hold. She cannot gain on it, and needs more supplement than the table says, which takes grazing "
        "to hold her.",
    )


def by_system(choices: Choices) -> Part:
    """What each published system of energy says of one ewe, with what in it is from memory."""
    pasture = feed_values(choices).pasture_mj
    lines = tuple(
        (each.system, f"{each.maintenance:.1f}", f"{each.total:.1f}", each.from_memory)
        for each in needs(choices.weight, GAIN, "flat", pasture)
    )
    return Part(
        title="What each system of energy says",
        sentences=(
            f"A dry ewe of {choices.weight:g} kg on flat pasture, and one gaining {GAIN * 1000:.0f} g a day.",
        ),
        head=("System", "Maintenance, MJ ME a day", "With the gain, MJ ME a day", "From memory, not checked"),
        lines=lines,
        sources=(
            "Energy: "
            + sources(
                each for each in reference.figures("energy") if each.how_known in ("published", "from memory")
            )
            + ".",
        ),
    )


def of_one_score(choices: Choices) -> Part:
    """What one condition score weighs by each published system, for a ewe of the chosen weight."""
    found = kg_per_score(choices.weight, 2.5)
    figures = {each.keys["figure"]: each for each in reference.figures("weight_per_score")}
    return Part(
        title="What one score weighs",
        sentences=(f"For a ewe of {choices.weight:g} kg at score 2½.",),
        head=("System", "kg per score", "Source"),
        lines=tuple((name, _span(found[name], 1), source(figures[name])) for name in weight_systems()),
    )


def feed_values(choices: Choices) -> Feed:
    """The feed as chosen; what was not chosen is the reference's."""
    usual = usual_feed()
    return replace(
        usual,
        pasture_mj=choices.pasture or usual.pasture_mj,
        supplement_mj=choices.supplement or usual.supplement_mj,
        cover=choices.cover or usual.cover,
    )


def _line(tables: Tables, row: Row, choices: Choices) -> tuple[str, ...]:
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
    days = (tables.dates().ready_by - tables.as_of).days
    try:
        found = ration(ewes, choices.weight, mean, low, days, going, feed_values(choices), choices.system)
    except ValueError as error:
        return (name, str(error), "", "", "", "", "")
    return (name, *_figures(found))


def _figures(found: Ration) -> Iterator[str]:
    spans = ((found.energy, 1), (found.dry_matter, 2), (found.energy_total, 0), (found.dry_matter_total, 0),
             (found.supplement, 0), (found.hectares, 1))  # fmt: skip
    return (_span(span, digits) for span, digits in spans)


def _span(span: Range, digits: int) -> str:
    """'8.6–11.8', or one figure where both ends read the same."""
    low, high = (f"{end:,.{digits}f}" for end in (span.low, span.high))
    return low if low == high else f"{low}–{high}"
