"""The readiness part of a farm's page: the projection of each group, in words and as a picture."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pandas as pd
from dash import dcc, html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import links, notice, words
from dashboard.components.folding import folded
from dashboard.components.picture import picture
from dashboard.data import FarmPage
from dashboard.figures.shares import readiness as readiness_figure
from dashboard.views import farm_unwritten
from dashboard.views.flocks import records
from dashboard.views.state import FarmState
from pipelines import reference
from pipelines.readiness.gain import Z95

WHOLE = "ALL"
NAMED = {"best": "On best grazing", "ordinary": "On ordinary grazing"}
MEANING = (
    "The open diamond is the share that was ready when scored. The dot is the share expected to be ready on "
    "the day, on the grazing each group is on now; the bar is the range it lies in nine times out of ten."
)


def section(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """Sentences per group, whole flock first, and their picture."""
    if words.missing(records(data.register)[0]["rams_in"]):
        why = "Cannot be projected because the register has no rams_in date for this season."
        return [notice.empty(why, "Add it to the register and import that again.")]
    if data.readiness.empty and data.held:
        return [
            html.P(
                "Nothing could be projected yet: what has come of this season is below, and what it lacks."
            )
        ]
    if data.readiness.empty:
        return [
            notice.empty(
                f"Not scored before tupping in {data.season}.",
                f"Score at weaning, at least {_weeks_before()} before the rams go in, and import the file. "
                "If that is done, the Files page says why its rows wait.",
            )
        ]
    rows = whole_first(records(data.readiness))
    parts: list[Component] = [html.Ul([html.Li(_group(row)) for row in rows], className="groups")]
    drawn = projected(data.readiness)
    if not drawn.empty:
        figure = readiness_figure(drawn, meaning=MEANING)
        parts += farm_unwritten.said(data)
        parts.append(_rests_on(data))
        parts.append(picture(ids.READINESS, figure, links.table("readiness", state.search(), code)))
    return parts


def _weeks_before() -> str:
    """`8 weeks (common practice)`: how long it takes to put condition right."""
    found = reference.figure("timing", figure="weaning to tupping, to put condition right")
    return f"{found.value:g} weeks ({found.how_known})"


def _rests_on(data: FarmPage) -> Component:
    """What the rate of gain rests on, and where to read how it is worked out."""
    how = dcc.Link("How readiness is worked out", href="/how")
    known = records(data.growth) if len(data.growth) else []
    shown = [row for row in known if int(row["intervals"])]
    seen = [row for row in shown if row["grazing"] in NAMED]
    if not seen:
        named = "of grazing that was written down " if shown else ""
        rate = f"The rate of gain {named}is the published range: no two sessions of this farm show its own"
        told: list[Component] = [html.P(_going_on(row)) for row in (shown or known)[:1]]
    else:
        rate = "The rate of gain is learned from this farm’s own sessions"
        told = [
            html.Ul([html.Li(_learned(row)) for row in seen]),
            html.P(_going_on(max(shown, key=lambda row: int(row["intervals"])))),
        ]
    return html.Details([html.Summary(rate), *told, html.P(how)], className="problems rests-on")


def _learned(row: Mapping[str, Any]) -> str:
    """Prior, data and result of one class of grazing."""
    return (
        f"{NAMED[row['grazing']]}: {row['learned_median']:.0f} days a score, nine times in ten "
        f"{row['learned_low']:.0f}–{row['learned_high']:.0f}. Published or set: {row['prior_median']:.0f}, "
        f"{row['prior_low']:.0f}–{row['prior_high']:.0f}. Over {words.count(row['intervals'], 'interval')} "
        f"between sessions its ewes {_seen(row)}, those aside that were held."
    )


def _seen(row: Mapping[str, Any]) -> str:
    """What the farm's own sessions show, as scores gained in a month."""
    moved = float(row["observed_per_30_days"])
    return f"{'gained' if moved >= 0 else 'lost'} {abs(moved):.2f} of a score in 30 days"


def _going_on(row: Mapping[str, Any]) -> str:
    """How far ewes that are right are held: result, prior and data, or that the adviser has said so."""
    share, doubt = float(row["going_on"]), Z95 * float(row["going_on_sd"])
    practice = float(row["practice_going_on"])
    if practice in (0.0, 1.0):  # which what is learned never comes to
        held = "none is held" if practice else "all are held"
        return f"Of ewes that have come right, {held}: so it is set in settings.toml."
    intervals = int(row["intervals"])
    own = (
        f"weighed with what {words.count(intervals, 'interval')} of this farm’s own showed"
        if intervals
        else "and no two sessions of this farm show its own"
    )
    return (
        f"Of ewes that have come right, {words.percent(share)} are taken to go on gaining "
        f"({words.between(max(share - doubt, 0.0), min(share + doubt, 1.0))}), the others to be held. "
        "Before any session it may be anything from none to all; the farms of this practice came to "
        f"{words.percent(practice)}, {own}."
    )


def group_name(group: object) -> str:
    """A group as it is called on the page: `ALL` is the whole flock."""
    return "Whole flock" if group == WHOLE else str(group)


def whole_first(rows: Sequence[Mapping[str, Any]]) -> list[Mapping[str, Any]]:
    """`rows` with the whole flock first and the groups by name; a lone group says nothing new and goes."""
    return [rows[place] for place in _whole_first([row["group"] for row in rows])]


def _whole_first(names: Sequence[object]) -> list[int]:
    """Where the groups of these names are found, in the order of `whole_first`."""
    whole = [place for place, name in enumerate(names) if name == WHOLE]
    groups = [place for place, name in enumerate(names) if name != WHOLE]
    groups.sort(key=lambda place: str(names[place]))
    return whole if whole and len({names[place] for place in groups}) == 1 else whole + groups


def shown(rows: pd.DataFrame) -> pd.DataFrame:
    """The rows that `whole_first` keeps, as the table that is saved."""
    return rows.iloc[_whole_first(rows["group"].tolist())].reset_index(drop=True)


def projected(rows: pd.DataFrame) -> pd.DataFrame:
    """The groups that could be projected, as rows of the picture."""
    kept = shown(rows)
    kept = kept[kept["ready_share"].notna().to_numpy()]
    return kept.assign(
        label=[group_name(group) for group in kept["group"]],
        share=kept["ready_share"],
        low=kept["ready_share_low"],
        high=kept["ready_share_high"],
    )


def _group(row: Mapping[str, Any]) -> list[Component]:
    heading = html.H3([group_name(row["group"]), html.Small(_scored(row))])
    if words.missing(row["ready_share"]):
        return [
            heading,
            html.P(
                words.sentence(words.text(row["why_not"], "cannot be projected because a date is missing"))
            ),
        ]
    expected, gain = html.P(_expected(row), className="big"), html.P(_to_gain(row))
    return [heading, expected, gain if row["group"] == WHOLE else folded(html.Span("What it takes"), [gain])]


def _scored(row: Mapping[str, Any]) -> str:
    return f"{words.count(row['ewes'], 'ewe')} scored {words.short_day(row['scored_on'])}"


def _expected(row: Mapping[str, Any]) -> list[str | Component]:
    """What is expected; the day, and what was ready when scored, are said once, of the whole flock."""
    said: list[str | Component] = [html.Strong(f"{words.percent(row['ready_share'])} likely ready")]
    whole = row["group"] == WHOLE
    by = f" by {words.short_day(row['ready_by'])}" if whole else ""
    said.append(f"{by}, {words.between(row['ready_share_low'], row['ready_share_high'])}{otherwise(row)}.")
    return [*said, f" Ready when scored: {words.percent(row['ready_now_share'])}."] if whole else said


def otherwise(row: Mapping[str, Any]) -> str:
    """What those not ready are expected to be: thin still, or over."""
    thin = row.get("still_thin_share")
    if words.missing(thin):
        return ""
    over = max(1 - float(row["ready_share"]) - float(thin or 0), 0.0)
    return f"; {words.percent(thin)} thin still, {words.percent(over)} over"


def _to_gain(row: Mapping[str, Any]) -> str:
    if not (gain := int(row["ewes_to_gain"])):
        return "No ewe has condition to gain."
    if not words.missing(row["days_left"]) and row["days_left"] <= 0:
        return f"{words.count(gain, 'ewe')} had condition to gain. The day to be ready is past."
    need = f"{words.count(gain, 'ewe')} must gain"
    if not words.missing(row["days_needed_median"]):
        need += f"; the middle one needs {words.count(round(row['days_needed_median']), 'day')}"
        need += _of_days_left(row) if row["group"] == WHOLE else ""
    unlikely = int(row["ewes_unlikely"])
    late = f" {words.count(unlikely, 'ewe')} unlikely in time." if unlikely else ""
    return f"{need}.{late}{_on_best(row)}"


def _of_days_left(row: Mapping[str, Any]) -> str:
    left = "" if words.missing(row["days_left"]) else f", {max(int(row['days_left']), 0)} left"
    return f" on best grazing{left}"


def _on_best(row: Mapping[str, Any]) -> str:
    """What best grazing for all would bring; thin ewes gain by it, but ewes that are right may go over."""
    if words.missing(row["on_best_share"]):
        return ""
    if row["on_best_share"] <= row["ready_share"]:
        return " Best grazing for all would bring no more: draw the thin ones."
    return (
        f" With all on best grazing: {words.percent(row['on_best_share'])} ready, "
        f"{words.between(row['on_best_low'], row['on_best_high'])}."
    )
