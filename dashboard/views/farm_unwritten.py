"""How groups are taken whose grazing was not written down, in words for the farm's page."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import Any

from dash import html
from dash.development.base_component import Component

from dashboard.components import words
from dashboard.data import FarmPage
from dashboard.views.flocks import records
from pipelines.readiness.pace import build_up_days

WHOLE = "ALL"
UNSAID = "not stated"


def said(data: FarmPage) -> list[Component]:
    """What is taken for granted of them, and that it pays to write it down; nothing where all is written."""
    rows = records(data.readiness)
    silent = [row for row in rows if row["group"] != WHOLE and not row["grazing_named"] and _projected(row)]
    known = [row for row in records(data.growth) if row["grazing"] == UNSAID] if len(data.growth) else []
    if not silent or not known:
        return []
    whole = len(silent) == len({row["group"] for row in rows} - {WHOLE})
    told = html.P(f"{_paces(silent[0], known[0])} {_rests_on(known[0], _ahead(silent[0]))}")
    return [html.Details([html.Summary(_heading(silent, whole)), told], className="problems rests-on")]


def _projected(row: Mapping[str, Any]) -> bool:
    return words.missing(row["why_not"])


def _heading(silent: Sequence[Mapping[str, Any]], whole: bool) -> str:
    groups = "" if whole else f" of {', '.join(sorted(str(row['group']) for row in silent))}"
    return (
        f"The grazing{groups} was not written down, so the ewes may stand still or gain. Write it down (in a "
        "grazing column, or under What if) and the range narrows"
    )


def _turn(row: Mapping[str, Any]) -> date:
    """The day on which building up for the rams begins."""
    return words.as_date(row["rams_in"]) - timedelta(days=build_up_days())


def _ahead(row: Mapping[str, Any]) -> list[str]:
    """The parts of the season that lie ahead of the scoring."""
    early = ["early"] if words.as_date(row["scored_on"]) < _turn(row) else []
    return [*early, "late"] if words.as_date(row["ready_by"]) > _turn(row) else early


def _paces(row: Mapping[str, Any], known: Mapping[str, Any]) -> str:
    day = words.short_day(_turn(row))
    named = {"early": f"up to {day}, {build_up_days() // 7} weeks before the rams,", "late": f"after {day},"}
    parts = [f"{named[part]} {_pace(known, part)}" for part in _ahead(row)]
    return f"They are taken to gain at a share of the usual rate on ordinary grazing: {'; '.join(parts)}."


def _pace(known: Mapping[str, Any], part: str) -> str:
    pace, low, high = (float(known[f"{part}_pace{end}"]) for end in ("", "_low", "_high"))
    if high <= 0:
        return "none"
    return f"{words.percent(max(pace, 0.0))} ({words.between(max(low, 0.0), high)})"


def _rests_on(known: Mapping[str, Any], parts: Sequence[str]) -> str:
    practice = " and ".join(words.percent(max(float(known[f"practice_{part}_pace"]), 0.0)) for part in parts)
    intervals = int(known["intervals"])
    own = (
        f"this is weighed with what {words.count(intervals, 'interval')} of this farm’s own showed"
        if intervals
        else "no two sessions of this farm show its own"
    )
    return (
        "Before any session it may be anything from none to all; the farms of this practice came to "
        f"{practice}, and {own}."
    )
