"""Thin ewes worth examining: how many, and what so many negatives can and cannot say; pure."""

from __future__ import annotations

from dashboard.brief import words
from dashboard.brief.advice import CAUTIONS
from dashboard.brief.parts import Part
from dashboard.brief.tables import WHOLE, Tables, rows
from pipelines import reference
from pipelines.reference import Figure
from pipelines.statistics.surveys import chance_all_pools_negative, ewes_to_examine, prevalence_excluded

POOL = 10  # ewes in one pooled dung sample, quoted in the reference


def examine(
    tables: Tables, prevalence: float = 0.10, confidence: float = 0.95, sensitivity: float = 0.9
) -> Part:
    """What to look for in the farm's thin ewes, and how many to sample for it.

    `prevalence` is the share of the thin ewes that must not be missed, `sensitivity` the test's (both 0–1).
    """
    thin = thin_ewes(tables)
    causes = reference.figures("causes")
    if not thin:
        said: tuple[str, ...] = (
            "No ewe is below the line for tupping: there is none to examine for being thin.",
        )
        return Part("Thin ewes worth examining", said, (), (), CAUTIONS, ())
    return Part(
        title="Thin ewes worth examining",
        sentences=(
            f"{words.count(thin, 'ewe')} below the line for tupping. Look at every one: teeth, feet, udder.",
            _how_many(thin, prevalence, confidence, sensitivity),
            _twelve(thin, confidence, sensitivity),
            _pools(thin, prevalence),
            "Negatives speak only for the ewes that they were drawn from: the thin ones, not the flock.",
        ),
        head=("Cause", "Usual sample", "If all are negative, at 95 %", "How known"),
        lines=tuple(_line(cause, thin, confidence) for cause in causes),
        cautions=CAUTIONS[:1] + CAUTIONS[2:4],
        sources=(
            "Numbers to examine: exact hypergeometric (Cannon and Roe 1982); D = share × number, rounded "
            "down, at least 1. Causes and usual samples: " + _sources(causes) + ".",
        ),
    )  # fmt: skip


def thin_ewes(tables: Tables) -> int:
    """Ewes below the tupping band in the latest session; 0 where it was not scored or cannot be projected."""
    whole = next((row for row in rows(tables.readiness) if row["group"] == WHOLE), None)
    return int(words.number(whole["ewes_to_gain"]) or 0) if whole else 0


def _how_many(thin: int, prevalence: float, confidence: float, sensitivity: float) -> str:
    aim = (
        f"to find a condition that {words.percent(prevalence)} of them have, with "
        f"{words.percent(confidence)} confidence and a test that finds {words.percent(sensitivity)} of cases"
    )
    needed = ewes_to_examine(thin, prevalence, confidence, sensitivity)
    if needed is None:
        return f"Even sampling all of them is not enough {aim}."
    return f"Sample {needed:,} of the {thin:,} {aim}."


def _twelve(thin: int, confidence: float, sensitivity: float) -> str:
    sampled = min(12, thin)
    share = prevalence_excluded(sampled, thin, confidence, sensitivity)
    if share is None:
        return f"{sampled} negatives say next to nothing in so few ewes with such a test."
    return (
        f"{sampled} negatives make it unlikely ({words.percent(confidence)} confidence) that "
        f"{words.percent(share)} or more of these ewes have it. They do not show that it is absent: "
        "a condition in fewer of them is easily missed."
    )


def _pools(thin: int, prevalence: float) -> str:
    pools = thin // POOL
    known = reference.figure("test_sensitivity", condition="Johne's disease")
    if not pools or known.value is None:
        return "Too few thin ewes for a pooled dung sample of ten."
    missed = chance_all_pools_negative(pools, POOL, thin, prevalence, known.value)
    return (
        f"{words.count(pools, 'pooled dung sample')} of ten ewes would all come back negative "
        f"{words.percent(missed)} of the time, though {words.percent(prevalence)} of the ewes had Johne's "
        f"disease (a pool is found positive {words.percent(known.value)} of the time; from cattle)."
    )


def _line(cause: Figure, thin: int, confidence: float) -> tuple[str, ...]:
    return (
        cause.keys["cause"],
        cause.keys["sample"],
        _if_negative(cause, thin, confidence),
        cause.how_known,
    )


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


def _sources(figures: tuple[Figure, ...]) -> str:
    return "; ".join(dict.fromkeys(f"{figure.source} ({figure.how_known})" for figure in figures))
