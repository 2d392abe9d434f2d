"""What if the rams went in on another day, or groups were grazed otherwise: the projection drawn anew."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

import pandas as pd
from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import filters, links, words
from dashboard.components.picture import picture
from dashboard.data import FarmPage
from dashboard.figures.shares import tried
from dashboard.views.farm_readiness import WHOLE, group_name, otherwise, projected, shown
from dashboard.views.flocks import records
from dashboard.views.state import ON, FarmState
from pipelines.queries.what_if import Outlook
from pipelines.settings import GRAZING

WEEKS = range(-4, 7)
FLUSHES = (0, 7, 14, 17, 21, 28)
PLACES = (0, 10, 20, 30, 40, 50, 75, 100, 150, 200, 300)
MEANING = (
    "The dot is the share expected to be ready with what is tried here, its bar the range it lies in nine "
    "times out of ten; the open diamond is what is expected as things stand."
)


def section(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """The form, what it comes to in words, and the picture beside things as they stand."""
    plan = data.planned
    assert plan is not None  # the page shows this section only then
    parts: list[Component] = [
        html.P("Try other dates or grazing. Nothing is changed for good; the link keeps what you try."),
        _form(code, state, data, plan),
        html.P(_dates(plan), className="big"),
        *[html.P(text) for text in _said(state, data, plan)],
    ]
    rows = compared(data) if state.tries() else pd.DataFrame()
    if not rows.empty:
        parts.append(picture(ids.WHAT_IF + "-picture", tried(rows, meaning=MEANING),
                             links.table("what-if", state.search(), code)))  # fmt: skip
    return parts


def table(data: FarmPage) -> pd.DataFrame:
    """The rows of the picture, as they are kept."""
    if data.planned is None:
        return pd.DataFrame()
    return shown(data.planned.readiness)


def compared(data: FarmPage) -> pd.DataFrame:
    """Groups projected under the plan, each beside its share as things stand."""
    if data.planned is None:
        return pd.DataFrame()
    stands = data.readiness.set_index("group")["ready_share"]
    rows = projected(data.planned.readiness)
    return rows.assign(as_it_stands=rows["group"].map(stands).astype(float))


def _form(code: str, state: FarmState, data: FarmPage, plan: Outlook) -> Component:
    """What is not chosen stays as it is registered, and out of the link."""
    register = records(data.register)[0]
    rams_in = words.as_date(register["rams_in"])
    days = {rams_in + timedelta(weeks=week) for week in WEEKS} | {state.rams or rams_in}
    choices = [(day.isoformat(), words.day(day)) for day in sorted(days - {rams_in})]
    flush = int(register["flush_days"])
    places = register["best_grazing_places"]
    known = "Not known" if words.missing(places) else f"{int(places)} (now)"
    return filters.form(
        links.farm(code),
        [
            dcc.Input(type="hidden", name="season", value=str(data.season)),
            filters.choice("rams", "Rams in", choices, state.rams, f"{words.short_day(rams_in)} (now)"),
            filters.choice(
                "flush",
                "Days of flushing",
                _numbers(FLUSHES, state.flush),
                state.flush,
                f"{flush} (now)",
            ),
            filters.choice(
                "places", "Places on best grazing", _numbers(PLACES, state.places), state.places, known
            ),
            *_grazing(state, data),
        ],
        clear=False,
    )


def _grazing(state: FarmState, data: FarmPage) -> list[Component]:
    tried_out = dict(state.grazing)
    rows = [row for row in records(data.readiness) if row["group"] != WHOLE]
    return [
        filters.choice(
            ON + str(row["group"]),
            f"{row['group']} on",
            [
                (each, each.capitalize())
                for each in GRAZING
                if not row["grazing_named"] or each != row["grazing"]
            ],
            tried_out.get(str(row["group"])),
            f"{str(row['grazing']).capitalize()} (now)" if row["grazing_named"] else "Not written down",
        )
        for row in rows
    ]


def _numbers(usual: Sequence[int], chosen: int | None) -> list[filters.Choice]:
    numbers = {*usual, *([] if chosen is None else [chosen])}
    return [(str(number), str(number)) for number in sorted(numbers)]


def _dates(plan: Outlook) -> str:
    lambing = plan.lambing
    return (
        f"Rams in {words.day(plan.rams_in)}, ready by {words.day(plan.ready_by)}; lambing from about "
        f"{words.day(lambing.expected)} ({words.short_day(lambing.earliest)} to "
        f"{words.short_day(lambing.latest)}), {(lambing.expected - plan.rams_in).days} days on."
    )


def _said(state: FarmState, data: FarmPage, plan: Outlook) -> list[list[str | Component]]:
    rows = {row["group"]: row for row in records(plan.readiness)}
    row = rows[WHOLE]
    if words.missing(row["ready_share"]):
        return [[words.sentence(words.text(row["why_not"]))], *_back(state, data)]
    said = (
        f"{words.percent(row['ready_share'])} likely ready, "
        f"{words.between(row['ready_share_low'], row['ready_share_high'])}{otherwise(row)}"
    )
    stands = data.readiness.set_index("group")["ready_share"].get(WHOLE)
    if not state.tries():
        return [[f"As it stands: {said}."]]
    late = [
        f" {group_name(group)} {words.text(each['why_not'])}."
        for group, each in rows.items()
        if group != WHOLE and words.missing(each["ready_share"])
    ]
    return [[f"{said}; {words.percent(stands)} as it stands.", *late], *_back(state, data)]


def _back(state: FarmState, data: FarmPage) -> list[list[str | Component]]:
    if not state.tries():
        return []
    code = str(records(data.register)[0]["farm"])
    return [[dcc.Link("Back to things as they stand", href=links.farm(code, data.season))]]
