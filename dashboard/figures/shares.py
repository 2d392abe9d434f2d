"""Shares with their intervals, one labelled row each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from dashboard.figures import colours, frame


@dataclass(frozen=True, slots=True)
class Quartiles:
    """The middle of the farms compared: shares 0–1."""

    lower: float
    median: float
    upper: float


def on_target(rows: pd.DataFrame, quartiles: Quartiles, *, meaning: str) -> go.Figure:
    """Share on target of each farm, best first, with the practice's median and quartiles.

    `rows`: `label`, `share`, `low`, `high` (0–1), `ewes`.
    """
    figure = go.Figure()
    _add_intervals(figure, rows, "On target", colours.BLUISH_GREEN)
    figure.add_vrect(
        x0=quartiles.lower, x1=quartiles.upper, fillcolor=colours.SOFT_INK, opacity=0.12, line_width=0
    )
    figure.add_vline(x=quartiles.median, line={"color": colours.SOFT_INK, "width": 1.5, "dash": "dash"})
    return _share_frame(
        figure, rows, "Share on target, farm by farm", meaning, "Share on target (% of ewes scored)"
    )


def readiness(rows: pd.DataFrame, *, meaning: str) -> go.Figure:
    """Share ready at scoring and expected when the rams go in, group by group.

    `rows`: `label`, `ready_now_share`, `share`, `low`, `high` (0–1), `ewes`.
    """
    figure = go.Figure()
    _add_intervals(figure, rows, "Expected on the day", colours.BLUISH_GREEN)
    figure.add_scatter(
        x=rows["ready_now_share"],
        y=_places(rows),
        mode="markers",
        marker={"symbol": "diamond-open", "size": 11, "color": colours.BLUE, "line": {"width": 2}},
        name="Ready when scored",
        hovertemplate="%{x:.0%} ready when scored<extra></extra>",
    )
    _share_frame(figure, rows, "Ready when scored, and when it counts", meaning, "Share ready (% of ewes)")
    figure.update_layout(showlegend=True, margin={"t": 36})
    return figure


def _places(rows: pd.DataFrame) -> list[float]:
    return [len(rows) - 1 - i + 0.3 for i in range(len(rows))]


def _add_intervals(figure: go.Figure, rows: pd.DataFrame, name: str, colour: str) -> None:
    share, low, high = (rows[column].to_numpy(float) for column in ("share", "low", "high"))
    figure.add_scatter(
        x=share,
        y=_places(rows),
        mode="markers",
        marker={"size": 11, "color": colour},
        error_x={
            "array": np.maximum(high - share, 0),
            "arrayminus": np.maximum(share - low, 0),
            "thickness": 3,
            "width": 5,
            "color": colour,
        },
        name=name,
        customdata=np.stack([rows["label"].map(frame.safe), low, high, rows["ewes"]], axis=-1),
        hovertemplate=(
            "%{customdata[0]}<br>%{x:.0%}, between %{customdata[1]:.0%} and %{customdata[2]:.0%}<br>"
            "%{customdata[3]} ewes<extra></extra>"
        ),
    )


def _share_frame(figure: go.Figure, rows: pd.DataFrame, title: str, meaning: str, x: str) -> go.Figure:
    for label, place in zip(rows["label"], _places(rows), strict=True):
        figure.add_annotation(frame.row_label(str(label), place + 0.14))
    frame.framed(figure, title=title, meaning=meaning, x=x, y="", height=frame.rows_height(len(rows)))
    figure.update_layout(showlegend=False, margin={"l": 12})
    figure.update_xaxes(range=[-0.02, 1.02], tickformat=".0%", dtick=0.25)
    figure.update_yaxes(range=[-0.1, len(rows)], showticklabels=False, showgrid=False)
    return figure
