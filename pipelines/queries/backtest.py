"""How well past projections came true, within a scope of farms."""

from __future__ import annotations

from collections.abc import Iterator

import pandas as pd

from pipelines.models.past import METHODS
from pipelines.queries.reader import Reader
from pipelines.readiness.backtest import LEVELS, Outcomes, Report, report

BACKTEST = "select * from backtest order by farm, season, scored_on, method"


def past_projections(reader: Reader) -> pd.DataFrame:
    """Rows of `backtest`: each session predicted from those before it, by each method, and what came."""
    return reader.frame(BACKTEST)


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
    yield f"{'':<22}{'sessions':>9}{'error':>8}{'lean':>8}{levels}{'CRPS':>8}"
    for method, each in found.items():
        held = "".join(f"{share:>10.0%}" for share in each.covered)
        yield (
            f"{method:<22}{each.predictions:>9}{each.mean_absolute_error:>8.3f}{each.bias:>+8.3f}{held}"
            f"{each.crps:>8.3f}"
        )
    yield "Error: mean absolute, share of the flock. Lean: expected less recorded. Held: of the ranges."


def _report(rows: pd.DataFrame) -> Report:
    names = ("expected", "low", "high", "crps", "place", "held")
    columns = {name: rows[name].to_numpy(float) for name in names}
    return report(Outcomes(**columns), rows["observed"].to_numpy(float))
