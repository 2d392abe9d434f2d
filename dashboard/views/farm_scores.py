"""The scores of a farm's page: thin, on target and over per session, their spread, and past seasons."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import links, notice, share, words
from dashboard.components.attributes import attributes
from dashboard.components.folding import folded
from dashboard.components.picture import picture, save_table
from dashboard.data import FarmPage
from dashboard.figures.distribution import distributions
from dashboard.views import farm_trend
from dashboard.views.farm_readiness import WHOLE, group_name, whole_first
from dashboard.views.flocks import records
from dashboard.views.state import FarmState

BAND = ["target_low", "target_high"]
KEY = html.P(
    [
        html.Span("Thin", className="key key-thin"),
        html.Span("On target", className="key key-on-target"),
        html.Span("Over", className="key key-over"),
    ],
    className="keys",
)


def shares(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """One block per session, latest first: whole flock, then its groups."""
    sessions: dict[tuple[Any, str], list[Mapping[str, Any]]] = {}
    for row in records(data.sessions):
        sessions.setdefault((row["scored_on"], row["stage"]), []).append(row)
    blocks = [
        (html.H3(f"{words.day(day)}, {stage}"), _table(whole_first(rows)))
        for (day, stage), rows in sorted(sessions.items(), key=lambda item: item[0], reverse=True)
    ]
    return [
        KEY,
        *[html.Div([heading, table]) for heading, table in blocks[:1]],
        *[folded(heading, [table]) for heading, table in blocks[1:]],
        html.P(save_table(links.table("shares", state.search(), code)), className="keep"),
    ]


def spread(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """The picture of every group's scores over the sessions of the season."""
    figure = distributions(
        labelled(data.scores, data.sessions),
        title="Condition scores, group by group",
        meaning=(
            "One row per group and session, latest first. The pale band is what the stage asks for: bars "
            "left of it are thin ewes, bars right of it are over."
        ),
    )
    return [picture(ids.SCORES, figure, links.table("scores", state.search(), code))]


def labelled(scores: pd.DataFrame, sessions: pd.DataFrame) -> pd.DataFrame:
    """score_distribution rows as rows of the picture: groups together, latest session first."""
    key = ["scored_on", "stage", "group"]
    bands = {
        (row[0], row[1], row[2]): row[3:] for row in sessions[[*key, *BAND, "ewes"]].itertuples(index=False)
    }
    rows = scores[scores["group"] != WHOLE]
    judged = [bands[part] for part in zip(*(rows[name] for name in key), strict=True)]
    low, high, totals = zip(*judged, strict=True) if judged else ((), (), ())
    labels = [
        f"{group_name(group)}, {words.short_day(day)} ({words.count(total, 'ewe')})"
        for group, day, total in zip(rows["group"], rows["scored_on"], totals, strict=True)
    ]
    drawn = rows.assign(label=labels, low=low, high=high)
    return drawn.sort_values(["group", "scored_on", "score"], ascending=[True, False, True], kind="stable")


def past(code: str, state: FarmState, data: FarmPage) -> list[Component]:
    """The last session before tupping of every season."""
    if data.past.empty:
        return [notice.empty("No season has been scored yet.", "Import a score file to begin.")]
    rows = records(data.past.sort_values("season", ascending=False))
    return [
        html.P("The last session before the rams went in, season by season."),
        _shares_table(
            "Season", [(f"{row['season']}, {words.short_day(row['scored_on'])}", row) for row in rows]
        ),
        farm_trend.changes(records(data.trend)),
        html.P(save_table(links.table("seasons", state.search(), code)), className="keep"),
    ]


def _table(rows: list[Mapping[str, Any]]) -> Component:
    return _shares_table("Group", [(group_name(row["group"]), row) for row in rows])


def _shares_table(what: str, rows: list[tuple[str, Mapping[str, Any]]]) -> Component:
    headings = (what, "Ewes", "Thin", "On target", "Over", "As a bar")
    head = html.Tr([html.Th(text, scope="col") for text in headings])
    return html.Table(
        [html.Thead(head), html.Tbody([_row(name, row) for name, row in rows])], className="shares"
    )


def _row(name: str, row: Mapping[str, Any]) -> Component:
    over = float(row["over_share"])
    thin, on_target = float(row["thin_share"]), float(row["on_target_share"])
    cells = (
        ("Ewes", words.count(row["ewes"], "ewe")),
        ("Thin", share.in_words(thin, row["thin_share_low"], row["thin_share_high"])),
        ("On target", share.in_words(on_target, row["on_target_low"], row["on_target_high"])),
        ("Over", share.in_words(over, row["over_low"], row["over_high"])),
    )
    return html.Tr(
        [
            html.Th(name, scope="row"),
            *[html.Td(text, **attributes(data_label=label)) for label, text in cells],
            html.Td(share.stacked_bar(thin, on_target, over), className="picture-cell"),
        ]
    )
