"""Share thin against the number scored: a small sample is not mistaken for a bad farm."""

from __future__ import annotations

import numpy as np
import pandas as pd
import plotly.graph_objects as go

from dashboard.figures import colours, frame

NAMED = 6
MEANING = (
    "Each mark is a flock. Between the lines is what chance alone would give: the fewer ewes scored, the "
    "wider. A flock above the upper line has more thin ewes than luck explains."
)


def funnel(points: pd.DataFrame, limits: pd.DataFrame, average: float, too_many: float) -> go.Figure:
    """Flocks as marks, control limits as lines.

    `points`: `name`, `system`, `ewes` scored, `thin_share` (0–1). `limits`: `ewes`, and `low_95`, `high_95`,
    `low_998`, `high_998` (0–1) around `average`. `too_many` is the practice's limit for the share thin.
    """
    figure = go.Figure()
    for outer in (False, True):
        _add_limits(figure, limits, outer)
    _add_level(figure, limits, average, "Average of these flocks", "solid")
    _add_level(figure, limits, too_many, f"Too many thin ({too_many:.0%})".replace("%", " %"), "longdash")
    for system, symbol in colours.SYSTEM_SYMBOL.items():
        _add_flocks(figure, points[points["system"] == system], system, symbol)
    _add_names(figure, points, limits)
    frame.framed(
        figure,
        title="Share thin, against how many were scored",
        meaning=MEANING,
        x="Ewes scored (number)",
        y="Share thin (% of ewes scored)",
        height=440,
    )
    top = max(0.2, float(points["thin_share"].max()) * 1.15 if len(points) else 0.2)
    figure.update_layout(margin={"t": 8}, legend={"y": -0.2, "yanchor": "top"})
    figure.update_yaxes(range=[-0.02, min(1.02, top)], tickformat=".0%")
    figure.update_xaxes(range=[0, float(limits["ewes"].max())])
    return figure


def _add_limits(figure: go.Figure, limits: pd.DataFrame, outer: bool) -> None:
    name, suffix = ("99.8 % limits", "998") if outer else ("95 % limits", "95")
    for side in ("low", "high"):
        figure.add_scatter(
            x=limits["ewes"],
            y=limits[f"{side}_{suffix}"],
            mode="lines",
            line={"color": colours.SOFT_INK, "width": 1, "dash": "dash" if outer else "dot"},
            name=name,
            legendgroup=name,
            showlegend=side == "low",
            hoverinfo="skip",
        )


def _add_level(figure: go.Figure, limits: pd.DataFrame, level: float, name: str, dash: str) -> None:
    colour = colours.VERMILLION if dash == "longdash" else colours.SOFT_INK
    figure.add_scatter(
        x=[0, limits["ewes"].max()],
        y=[level, level],
        mode="lines",
        line={"color": colour, "width": 1.5, "dash": dash},
        name=name,
        hoverinfo="skip",
    )


def _add_names(figure: go.Figure, points: pd.DataFrame, limits: pd.DataFrame) -> None:
    """Names beside the flocks that stand farthest above the outer line, as there is no hovering on paper."""
    above = points["thin_share"] - np.interp(points["ewes"], limits["ewes"], limits["high_998"])
    for name, ewes, share in points.loc[
        above.nlargest(NAMED).index, ["name", "ewes", "thin_share"]
    ].to_numpy():
        if above[points["name"] == name].max() > 0:
            figure.add_annotation(
                text=frame.safe(name), x=ewes, y=share, showarrow=False, yshift=14, font={"size": 11.5}
            )


def _add_flocks(figure: go.Figure, points: pd.DataFrame, system: str, symbol: str) -> None:
    if points.empty:
        return
    figure.add_scatter(
        x=points["ewes"],
        y=points["thin_share"],
        mode="markers",
        marker={
            "symbol": symbol,
            "size": 11,
            "color": colours.SYSTEM_COLOUR[system],
            "line": {"width": 1, "color": colours.PAPER},
        },
        name=system.capitalize(),
        customdata=np.array([[frame.safe(name)] for name in points["name"]]),
        hovertemplate="%{customdata[0]}<br>%{y:.0%} thin of %{x} scored<extra></extra>",
    )
