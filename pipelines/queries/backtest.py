"""How well past projections came true, within a scope of farms."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

import pandas as pd

from pipelines.models.past import METHODS
from pipelines.queries.reader import Reader
from pipelines.readiness.backtest import LEVELS, Outcomes, Report, report

BACKTEST = "select * from backtest order by farm, season, scored_on, predicted_on, method"
HORIZONS = (("weaning", "pre-tupping"), ("weaning", "tupping"), ("pre-tupping", "tupping"))
"""Stages that matter, from the one predicted from to the one predicted."""


def past_projections(reader: Reader) -> pd.DataFrame:
    """Rows of `backtest`: each session predicted from each before it, by each method, and what came."""
    return reader.frame(BACKTEST)


def of_next(rows: pd.DataFrame) -> pd.DataFrame:
    """Those rows that predict the next session: each session once, however many came before it."""
    return rows[rows["nearest"]]


def horizons(rows: pd.DataFrame) -> dict[tuple[str, str], dict[str, Report]]:
    """`reports` of each of `HORIZONS`, other sessions between the two or none."""
    return {
        (first, later): reports(rows[(rows["stage"] == first) & (rows["next_stage"] == later)])
        for first, later in HORIZONS
    }


def reports(rows: pd.DataFrame) -> dict[str, Report]:
    """Each method's predictions in one figure each; empty when nothing was predicted."""
    found = {method: rows[rows["method"] == method] for method in METHODS}
    return {method: _report(part) for method, part in found.items() if len(part)}


def lines(found: dict[str, Report]) -> Iterator[str]:
    """The reports as lines of a table in plain text."""
    if not found:
        yield "Nothing to compare: no flock was scored twice in a season before the rams went in."
        return
    levels = "".join(f"{f'{level:.0%} held':>10}" for level in LEVELS)
    yield f"{'':<26}{'sessions':>9}{'error':>8}{'lean':>8}{levels}{'CRPS':>8}"
    for method, each in found.items():
        held = "".join(f"{share:>10.0%}" for share in each.covered)
        yield (
            f"{method:<26}{each.predictions:>9}{each.mean_absolute_error:>8.3f}{each.bias:>+8.3f}{held}"
            f"{each.crps:>8.3f}"
        )
    yield "Error: mean absolute, share of the flock. Lean: expected less recorded. Held: of the ranges."


def horizon_lines(found: Mapping[tuple[str, str], Mapping[str, Report]]) -> Iterator[str]:
    """Mean error over each horizon, and how many 90 % ranges held, as lines of a table in plain text."""
    yield f"{'':<26}{'sessions':>9}{'error':>8}{'no change':>11}{'45 days':>9}{'90% held':>10}"
    for (first, later), by_method in found.items():
        name = f"{first} to {later}"
        if not by_method:
            yield f"{name:<26}{0:>9}"
            continue
        mine, *others = (by_method[method] for method in METHODS)
        wide = zip(others, (11, 9), strict=True)
        errors = "".join(f"{each.mean_absolute_error:>{width}.3f}" for each, width in wide)
        yield (
            f"{name:<26}{mine.predictions:>9}{mine.mean_absolute_error:>8.3f}{errors}{mine.covered[-1]:>10.0%}"
        )


def _report(rows: pd.DataFrame) -> Report:
    names = ("expected", "low", "high", "crps", "place", "held")
    columns = {name: rows[name].to_numpy(float) for name in names}
    return report(Outcomes(**columns), rows["observed"].to_numpy(float))
