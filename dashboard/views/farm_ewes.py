"""The identified ewes that need something: by what is to be done, those alike on one line, tags folded."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from math import ceil
from typing import Any

import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboard.components import links, notice, words
from dashboard.components.picture import save_table
from dashboard.data import FarmPage
from dashboard.views.farm_readiness import WHOLE
from dashboard.views.flocks import records
from dashboard.views.state import FarmState
from pipelines.readiness.decisions import THRESHOLDS

LONG = "▲"  # marks ewes long thin
HEADINGS = ("Group", "Score", "Ewes", "Ready as she is", "On best grazing", "Days needed")
# most pressing first: what to call it, and what is meant
DECISIONS = {
    "unlikely in time": ("Unlikely in time", "Examine, and decide on culling with the vet."),
    "best grazing": ("Best grazing", "Draw them: likelier ready there than where they are."),
    "rescore": ("Rescore", "Neither sure nor unlikely where they are."),
    "score again": ("Score again", "The day to be ready is past."),
    "hold": ("Hold", "Leave them where they are."),
    "over": ("Over", "Hard going, slowly; never starve a fat ewe."),
}


@dataclass(frozen=True, slots=True)
class Alike:
    """Ewes of whom the same is said; everything but the `tags` as the table shows it."""

    group: str
    score: str
    chance: str
    best: str
    days: str
    thin_sessions: int  # how many running, where that is long; else 0
    tags: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Decided:
    """Ewes with whom the same is to be done: `ewes` in all, of whom those in `lines` are listed."""

    title: str
    why: str
    ewes: int
    lines: tuple[Alike, ...]

    @property
    def listed(self) -> int:
        """How many are in `lines`."""
        return sum(len(line.tags) for line in self.lines)


def section(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """The ewes below or above target when last scored."""
    if data.ewes.empty:
        return [_nobody(data)]
    return [
        html.P(_told(data.ewes)),
        _table(decided(data.ewes)),
        _how_to_read(),
        html.P(save_table(links.table("ewes", state.search(), code)), className="keep"),
    ]


def _nobody(data: FarmPage) -> Component:
    """Why no ewe is named."""
    whole = [row for row in records(data.readiness) if row["group"] == WHOLE]
    gaining = [row["ewes_to_gain"] for row in whole if not words.missing(row["ewes_to_gain"])]
    if gaining and not gaining[0]:
        return notice.empty("No ewe was thin when last scored.", "None is to be drawn for it.")
    number = (
        f"the {words.count(gaining[0], 'ewe')} that must gain" if gaining else "the ewes out of condition"
    )
    return notice.empty(
        f"Not known by tag: {number}.",
        "The last session was counted without tags. Record the tag with each score to get a draw list.",
    )


def _told(ewes: pd.DataFrame) -> str:
    found, listed, left = int(ewes["found"].iloc[0]), len(ewes), ewes["days_left"].iloc[0]
    told = f"{words.count(found, 'ewe')} out of condition when last scored"
    told += f"; {words.count(left, 'day')} left." if not words.missing(left) and left > 0 else "."
    if found > listed:
        told += f" Here are the {listed} thinnest; the saved table has them all."
    return told


def _how_to_read() -> Component:
    return html.Details(
        [
            html.Summary("How to read this"),
            html.P(
                "What to do follows from the better of the two chances: of being ready where she is, counted "
                "from the day she was scored, or on best grazing from today. Days needed are plain "
                "arithmetic from her score, at the usual rate on best grazing. A ewe may be likely ready "
                "though they are more than the days left: she has had the days since scoring, a score "
                "stands for a range, and ewes may gain faster."
            ),
            html.P(f"{THRESHOLDS} The saved table gives the reason for each ewe."),
        ],
        className="problems",
    )


def decided(ewes: pd.DataFrame) -> list[Decided]:
    """The ewes by decision, most pressing first; in each those alike share a line, by group and score.

    `of_action` is how many ewes the decision has in all, where `ewes` is cut short.
    """
    alike: dict[tuple[str, str, str], dict[tuple[str, str, str, str, str, int], list[str]]] = {}
    total: dict[tuple[str, str, str], int] = {}
    for row in records(ewes):
        what = _what(row)
        alike.setdefault(what, {}).setdefault(_said(row), []).append(words.text(row["ewe"]))
        total[what] = int(row["of_action"])
    return [
        Decided(
            what[1], what[2], total[what], tuple(Alike(*said, tuple(tags)) for said, tags in lines.items())
        )
        for what, lines in sorted(alike.items(), key=lambda item: _pressing(*item[0]))
    ]


def _pressing(action: str, title: str, _: str) -> tuple[int, str]:
    return list(DECISIONS).index(action) if action in DECISIONS else len(DECISIONS), title


def _what(row: Mapping[str, Any]) -> tuple[str, str, str]:
    """The action, its name with the day if it has one, and why."""
    action = words.text(row["action"])
    title, why = DECISIONS.get(action, (words.sentence(action).rstrip("."), ""))
    if action == "rescore" and not words.missing(row.get("rescore_by")):
        title += f" by {words.short_day(row['rescore_by'])}"
    return action, title, why


def _said(row: Mapping[str, Any]) -> tuple[str, str, str, str, str, int]:
    thin = not words.missing(row.get("long_thin")) and row["long_thin"]
    return (
        words.text(row["group"]),
        f"{row['score']:g}",
        words.percent(row["chance_ready"]),
        words.percent(row.get("chance_on_best")),
        _days(row["days_needed"]),
        int(row["thin_sessions"]) if thin else 0,
    )


def _days(needed: float | None) -> str:
    if needed is None or words.missing(needed):
        return words.NO_FIGURE
    return f"{ceil(needed)}" if needed > 0 else "none"


def _table(decisions: list[Decided]) -> Component:
    head = html.Tr([html.Th(text, scope="col") for text in HEADINGS])
    return html.Table([html.Thead(head), *[_decision(each) for each in decisions]], className="ewes")


def _decision(decided: Decided) -> Component:
    heading = html.Th(_heading(decided), scope="rowgroup", colSpan=len(HEADINGS), className="decision")
    groups = groupby(decided.lines, key=lambda line: line.group)
    lines = [row for name, alike in groups for row in _group(name, list(alike))]
    tags = html.Td(_tags(decided), colSpan=len(HEADINGS))
    return html.Tbody([html.Tr(heading), *lines, html.Tr(tags)])


def _heading(decided: Decided) -> list[Component]:
    cut = f", {decided.listed:,} of them listed" if decided.listed < decided.ewes else ""
    long_thin = [line for line in decided.lines if line.thin_sessions]
    return [
        html.H3([decided.title, html.Small(f"{words.count(decided.ewes, 'ewe')}{cut}")]),
        html.P(decided.why),
        *([html.P(_long_thin(long_thin), className="long-thin")] if long_thin else []),
    ]


def _long_thin(lines: Sequence[Alike]) -> str:
    ewes, most = sum(len(line.tags) for line in lines), max(line.thin_sessions for line in lines)
    running = (
        f"{most} sessions" if len({line.thin_sessions for line in lines}) == 1 else f"up to {most} sessions"
    )
    return f"{LONG} {words.count(ewes, 'ewe')} thin {running} running: worth examining with the vet."


def _group(name: str, lines: Sequence[Alike]) -> list[Component]:
    """The lines of a group, its name once."""
    heading = html.Th(name, scope="rowgroup", rowSpan=len(lines), className="ewe-group")
    rows = [[html.Td(cell) for cell in _cells(line)] for line in lines]
    return [html.Tr([heading, *rows[0]]), *[html.Tr(row) for row in rows[1:]]]


def _cells(line: Alike) -> tuple[str, ...]:
    ewes = f"{len(line.tags):,}{' ' + LONG if line.thin_sessions else ''}"
    return line.score, ewes, line.chance, line.best, line.days


def _tags(decided: Decided) -> Component:
    lines = [
        html.P([html.B(_whose(line)), *[html.Span(tag, className="tag") for tag in line.tags]])
        for line in decided.lines
    ]
    return html.Details([html.Summary(f"Tags: {words.count(decided.listed, 'ewe')}"), *lines])


def _whose(line: Alike) -> str:
    long = f", {LONG} thin {line.thin_sessions} sessions" if line.thin_sessions else ""
    return f"{line.group} at {line.score}{long}: "
