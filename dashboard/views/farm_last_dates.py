"""Until when best or ordinary grazing can still help each thin score."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from datetime import date
from typing import Any

import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import links, words
from dashboard.components.folding import folded
from dashboard.components.picture import picture
from dashboard.data import FarmPage
from dashboard.figures.last_dates import last_dates
from dashboard.views.flocks import records
from dashboard.views.state import FarmState
from pipelines.queries.what_if import Outlook
from pipelines.readiness.decisions import DOUBTFUL
from pipelines.readiness.timing import last_useful_date

CLASSES = ("best", "ordinary")


def section(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """A line of dates by score and grazing class."""
    rows = table(data)
    if rows.empty or data.planned is None:
        return [html.P("No ewe was below target when last scored: nobody waits for better grazing.")]
    figure = last_dates(rows, today=data.as_of, ready_by=data.planned.ready_by)
    drawn = picture(ids.LAST_DATES, figure, links.table("last-dates", state.search(), code))
    return [
        *[html.P(said) for said in _next(rows, data.as_of, data.planned)],
        folded(html.H3("Day by day, for each score"), [drawn]),
    ]


def table(data: FarmPage) -> pd.DataFrame:
    """`score`, `ewes`, `grazing`, and the last useful day at the usual, a slow and a fast rate."""
    plan = data.planned
    if plan is None or data.growth.empty or plan.cells["target_low"].isna().any():
        return pd.DataFrame()
    low = float(plan.cells["target_low"].iloc[0])
    thin: Counter[float] = Counter()
    for score, ewes in zip(plan.cells["score"].tolist(), plan.cells["ewes"].tolist(), strict=True):
        if score < low:
            thin[score] += ewes
    rates = [rate for rate in records(data.growth) if rate["grazing"] in CLASSES]
    rows = [
        {"farm": plan.cells["farm"].iloc[0], "score": score, "ewes": ewes, "grazing": rate["grazing"]}
        | _days(score, rate, low, plan)
        for score, ewes in sorted(thin.items())
        for rate in rates
    ]
    return pd.DataFrame(rows)


def _days(score: float, rate: Mapping[str, Any], low: float, plan: Outlook) -> dict[str, date]:
    parts = (("usual", "median"), ("slow", "high"), ("fast", "low"))
    return {
        name: last_useful_date(score, low, plan.ready_by, rate[f"learned_{part}"]) for name, part in parts
    }


def _next(rows: pd.DataFrame, today: date, plan: Outlook) -> list[str]:
    """The next day that counts, and what of the scores whose day is past."""
    best = [row for row in records(rows) if row["grazing"] == "best"]
    past = [row["score"] for row in best if row["usual"] < today]
    ahead = [row for row in best if row["usual"] >= today]
    said = []
    if ahead:
        first = min(ahead, key=lambda row: row["usual"])
        said.append(
            f"Next: ewes at {first['score']:g} are to be on best grazing by {words.day(first['usual'])}."
        )
    if past:
        scores = words.listed([f"{score:g}" for score in past])
        late = plan.cells[plan.cells["score"].isin(past)]
        better = late[["chance_ready", "chance_on_best"]].max(axis=1)
        likely = int(late.loc[better >= DOUBTFUL, "ewes"].sum())
        said.append(
            f"For ewes at {scores} the day is past by the usual rate. "
            f"Counting the days since scoring and what a score leaves open, {likely:,} of these "
            f"{words.count(late['ewes'].sum(), 'ewe')} are likelier than not to be ready all the same."
        )
    return said
