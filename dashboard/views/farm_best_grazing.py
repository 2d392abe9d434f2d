"""Which groups and scores to put on the farm's best grazing, so that most ewes are ready."""

from __future__ import annotations

import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboard.components import links, notice, words
from dashboard.components.picture import save_table
from dashboard.data import FarmPage
from dashboard.views.farm_readiness import projected, whole_first
from dashboard.views.flocks import records
from dashboard.views.state import FarmState
from pipelines.queries.what_if import Outlook
from pipelines.readiness.allocation import Allocation
from pipelines.reference import cautions

HARDLY = 0.5  # of a ewe


def section(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """Who goes there, what it is worth, and what ten more places would be."""
    plan = data.planned
    assert plan is not None  # the page shows this section only then
    if plan.places is None:
        return [
            notice.empty(
                "It is not known how many ewes the best grazing carries.",
                "Add best_grazing_places to the register, or choose a number under What if.",
            )
        ]
    if plan.allocation is None:
        if projected(plan.readiness).empty:
            row = whole_first(records(plan.readiness))[0]
            return [html.P(words.sentence(words.text(row["why_not"])))]
        return [
            html.P(f"The day to be ready, {words.day(plan.ready_by)}, has come: it is too late to move ewes.")
        ]
    keep = save_table(links.table("best-grazing", state.search(), code))
    return [*_told(plan, plan.allocation), html.P(keep, className="keep")]


def table(data: FarmPage) -> pd.DataFrame:
    """Every group and score with the ewes to move, as it is kept."""
    plan = data.planned
    if plan is None:
        return pd.DataFrame()
    kept = plan.cells[
        ["farm", "season", "group", "score", "ewes", "grazing", "chance_ready", "chance_on_best"]
    ]
    moved = None if plan.allocation is None else plan.allocation.moved
    return kept.assign(ewes_to_best_grazing=moved)


def _told(plan: Outlook, found: Allocation) -> list[Component]:
    total = int(found.moved.sum())
    gained = found.ready - found.without
    if gained < HARDLY:
        return [
            html.P(
                f"Moving ewes to the {words.count(plan.places, 'place')} on best grazing would hardly make "
                f"one more ready on {words.short_day(plan.ready_by)}: leave the groups as they are."
            ),
            html.P(_caution(plan), className="meaning"),
        ]
    parts: list[Component] = [
        html.P(
            f"Best grazing has {words.count(plan.places, 'place')}. Most ewes are ready on "
            f"{words.short_day(plan.ready_by)} when {words.count(total, 'ewe')} go there from today:"
        ),
        html.Ul([html.Li(line) for line in shares(plan, found)], className="moves"),
        html.P(
            f"That makes about {words.count(round(gained), 'ewe')} more ready than with nobody there "
            f"({found.ready:,.0f} instead of {found.without:,.0f}). {worth(found, plan.places or 0, total)}"
        ),
    ]
    return [*parts, _listed(plan, found), html.P(_caution(plan), className="meaning")]


def shares(plan: Outlook, found: Allocation) -> list[str]:
    """`Shearlings: 12 of 12 ewes at 2, 28 of 40 at 2.25`, a line for each group."""
    size = _flock(plan)
    lines: dict[str, list[str]] = {}
    for group, score, ewes, moved in zip(
        plan.cells["group"], plan.cells["score"], size, found.moved, strict=True
    ):
        if moved:
            lines.setdefault(str(group), []).append(f"{moved:,} of {words.count(ewes, 'ewe')} at {score:g}")
    return [f"{group}: {words.listed(parts)}" for group, parts in lines.items()]


def worth(found: Allocation, places: int, used: int) -> str:
    """What ten more places would be worth."""
    more = found.worth_of_ten_more
    if used < places:
        return f"{words.count(places - used, 'place')} would stand empty: no other ewe gains by going there."
    if more < HARDLY:
        return f"Ten more places would hardly make another ewe ready ({more:.1f})."
    return f"Ten more places would make about {more:.1f} more ewes ready."


def _listed(plan: Outlook, found: Allocation) -> Component:
    if not found.list_agrees:
        return html.P("A plain list, most gained first, does less well here: draw as above.")
    cells = records(plan.cells)
    size = _flock(plan)
    lines = [
        html.Li(
            f"{cells[cell]['group']} at {cells[cell]['score']:g}: {ewes:,} of "
            f"{words.count(size[cell], 'ewe')}"
        )
        for cell, ewes in found.first_come
    ]
    return html.Details(
        [
            html.Summary("The same as a plain list: fill the places from the top"),
            html.Ol(lines),
        ],
        className="problems",
    )


def _flock(plan: Outlook) -> list[int]:
    """Ewes of each cell in the whole flock, those not scored taken to be like those that were."""
    cells = plan.cells
    times = max(float(cells["flock_ewes"].fillna(0).iloc[0]) / float(cells["ewes"].sum()), 1.0)
    return [round(ewes * times) for ewes in cells["ewes"]]


def _caution(plan: Outlook) -> str:
    unlikely = int(plan.readiness.loc[plan.readiness["group"] == "ALL", "ewes_unlikely"].fillna(0).iloc[0])
    late = (
        f" {words.count(unlikely, 'ewe')} are unlikely in time even there: examine rather than feed them."
        if unlikely > 1
        else ""
    )
    return " ".join(cautions("feeding", "drawing")) + late
