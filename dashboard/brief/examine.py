"""Thin ewes worth examining: how many, and what so many negatives can and cannot say; pure."""

from __future__ import annotations

from dashboard.brief import words
from dashboard.brief.choices import Choices
from dashboard.brief.parts import Part, source, sources
from dashboard.brief.tables import WHOLE, Tables, rows
from pipelines import reference
from pipelines.reference import Figure
from pipelines.statistics.surveys import (
    chance_all_negative,
    chance_all_pools_negative,
    ewes_to_examine,
    prevalence_excluded,
)

NO_TARGET = "No ewe is below the line for tupping: there is none to examine for being thin."
NOT_KNOWN = "Nobody knows which ewes are thin: score the flock, then plan what to sample."


def examine(tables: Tables, choices: Choices) -> Part:
    """What to look for in the farm's thin ewes, how many to sample for it, and what negatives would say."""
    title = "Thin ewes worth examining"
    whole = next((row for row in rows(tables.readiness) if row["group"] == WHOLE), None)
    thin = int(words.number(whole["ewes_to_gain"]) or 0) if whole else 0
    cautions = reference.cautions("scores", "health")
    if whole is None or not thin:
        return Part(
            title,
            (NOT_KNOWN if whole is None else NO_TARGET,),
            cautions=cautions,
        )
    causes = reference.figures("causes")
    confidence = choices.confidence / 100
    return Part(
        title=title,
        sentences=(
            _look_first(thin, int(words.number(whole["ewes_unlikely"]) or 0)),
            _how_many(thin, choices),
            _negatives(thin, choices),
            _pools(thin, choices),
            "Negatives speak only for the ewes that they were drawn from: the thin ones, not the flock.",
        ),
        head=("Cause", "Usual sample", f"If all are negative, at {words.percent(confidence)}", "Source"),
        lines=tuple(_line(cause, thin, confidence) for cause in causes),
        cautions=cautions,
        sources=(
            "Numbers to examine: exact hypergeometric (Cannon and Roe 1982); affected ewes = share × number, "
            "rounded down, at least 1; no test is taken to be wrongly positive.",
            "Sensitivities: " + sources(reference.figures("test_sensitivity")) + ".",
            _in_culls(),
        ),
    )  # fmt: skip


def _look_first(thin: int, unlikely: int) -> str:
    first = f" Begin with the {unlikely:,} unlikely in time." if unlikely else ""
    return (
        f"{words.count(thin, 'ewe')} scored {words.are(thin)} below the line for tupping. Look at every one: "
        f"teeth, feet, udder.{first}"
    )


def _how_many(thin: int, choices: Choices) -> str:
    prevalence, confidence, sensitivity = _shares(choices)
    aim = (
        f"to find a condition that {words.percent(prevalence)} of them have, with "
        f"{words.percent(confidence)} confidence and a test that finds {words.percent(sensitivity)} of cases"
    )
    needed = ewes_to_examine(thin, prevalence, confidence, sensitivity)
    if needed is None:
        return f"Even sampling all of them is not enough {aim}."
    return f"Sample {needed:,} of the {thin:,} {aim}."


def _shares(choices: Choices) -> tuple[float, float, float]:
    return choices.prevalence / 100, choices.confidence / 100, choices.sensitivity / 100


def _negatives(thin: int, choices: Choices) -> str:
    prevalence, confidence, sensitivity = _shares(choices)
    sampled = min(choices.negatives, thin)
    missed = chance_all_negative(sampled, thin, prevalence, sensitivity)
    share = prevalence_excluded(sampled, thin, confidence, sensitivity)
    negatives = words.count(sampled, "negative")
    cannot = (
        f"They do not show that it is absent: if {words.percent(prevalence)} of them had it, "
        f"{words.percent(missed)} of the time they would all be negative all the same."
    )
    if share is None:
        return f"{negatives} exclude nothing with {words.percent(confidence)} confidence. {cannot}"
    return (
        f"{negatives} make it unlikely ({words.percent(confidence)} confidence) that "
        f"{words.percent(share)} or more of these ewes have it. {cannot}"
    )


def _pools(thin: int, choices: Choices) -> str:
    pool = reference.figure("causes", cause="Johne's disease").value
    known = reference.figure("test_sensitivity", condition="Johne's disease")
    assert pool is not None and known.value is not None  # the tables' own tests ask for numbers
    size, prevalence = int(pool), choices.prevalence / 100
    pools = thin // size
    if not pools:
        return f"Too few thin ewes for a pooled dung sample of {size}."
    missed = chance_all_pools_negative(pools, size, thin, prevalence, known.value)
    come = "comes" if pools == 1 else "all come"
    return (
        f"Pooled: {words.count(pools, 'dung sample')} of {size} ewes {come} back negative "
        f"{words.percent(missed)} of the time though {words.percent(prevalence)} of the ewes have Johne's "
        f"disease (a pool with a case is found {words.percent(known.value)} of the time; from cattle)."
    )


def _line(cause: Figure, thin: int, confidence: float) -> tuple[str, ...]:
    name = cause.keys["cause"]
    return (
        name[0].upper() + name[1:], cause.keys["sample"], _if_negative(cause, thin, confidence), source(cause)
    )  # fmt: skip


def _if_negative(cause: Figure, thin: int, confidence: float) -> str:
    """What the usual number of negatives excludes, with the poorest sensitivity that was published."""
    if cause.value is None or "pool" in cause.keys["sample"] or "composite" in cause.keys["sample"]:
        return "–"
    sensitivities = [
        figure.low or figure.value or 1.0
        for figure in reference.figures("test_sensitivity")
        if figure.keys["condition"] == cause.keys["cause"]
    ]
    share = prevalence_excluded(
        min(int(cause.value), thin), thin, confidence, min(sensitivities, default=1.0)
    )
    if share is None:
        return "says nothing yet"
    assumed = "" if sensitivities else ", if the test misses none"
    return f"fewer than {words.percent(share)} have it{assumed}"


def _in_culls() -> str:
    found = reference.figures("cull_ewe_findings")
    shares = [f"{each.keys['condition']} in {words.percent(each.value or 0)}" for each in found]
    return f"Found in the flocks whose cull ewes were looked at: {words.listed(shares)}. {sources(found)}."
