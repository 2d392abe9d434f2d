"""Share thin against the number scored: a small sample is not mistaken for a bad farm."""

from __future__ import annotations

from html import escape

import numpy as np
import pandas as pd

from dashboard.figures import colours, frame
from dashboard.figures.sketch import Sketch

NAMED = 6
# Names are placed as a phone draws them: pixels of the area within the axes, of a line and of a letter.
ACROSS, UP, LINE, LETTER = 240.0, 300.0, 16.0, 6.4
MEANING = (
    "Each mark is a flock. Between the lines is what chance alone would give: the fewer ewes scored, the "
    "wider. A flock above the upper line has more thin ewes than luck explains. Flocks differ, though, and "
    "not by luck alone: the grey area is where 95 in a hundred flocks that differ as these do would lie, and "
    "a flock above it stands out even so."
)


def funnel(points: pd.DataFrame, limits: pd.DataFrame, average: float, too_many: float) -> Sketch:
    """Flocks as marks, control limits as lines.

    `points`: `name`, `system`, `ewes` scored, `thin_share` (0–1). `limits`: `ewes`, and `low_95`, `high_95`,
    `low_998`, `high_998` (0–1) around `average`, and, if flocks differ beyond chance, `low_wide` and
    `high_wide`. `too_many` is the practice's limit for the share thin.
    """
    figure = Sketch()
    if "low_wide" in limits:
        _add_usual_spread(figure, limits)
    for outer in (False, True):
        _add_limits(figure, limits, outer)
    _add_level(figure, limits, average, "Average of these flocks", "solid")
    _add_level(figure, limits, too_many, f"Too many thin ({too_many * 100:.0f}\u00a0%)", "longdash")
    for system, symbol in colours.SYSTEM_SYMBOL.items():
        _add_flocks(figure, points[points["system"] == system], system, symbol)
    most = max(20.0, float(points["thin_share"].max()) * 115 if len(points) else 20.0)
    top, right = min(102.0, most), float(limits["ewes"].max())
    _add_names(figure, points, limits, top, right)
    frame.framed(
        figure,
        title="Share thin, against how many were scored",
        meaning=MEANING,
        x="Ewes scored (number)",
        y="Share thin (% of ewes scored)",
        height=440,
    )
    figure.lay_out(
        margin={"t": 8, "l": 72},
        legend={"y": -0.2, "yanchor": "top"},
        xaxis={"range": [0, right]},
        yaxis={"range": [-2, top], **frame.percents(5 if top < 30 else 10)},
    )
    return figure


def _add_limits(figure: Sketch, limits: pd.DataFrame, outer: bool) -> None:
    name, suffix = ("99.8 % limits", "998") if outer else ("95 % limits", "95")
    for side in ("low", "high"):
        figure.trace(
            "scatter",
            x=limits["ewes"],
            y=limits[f"{side}_{suffix}"] * 100,
            mode="lines",
            line={"color": colours.SOFT_INK, "width": 1, "dash": "dash" if outer else "dot"},
            name=name,
            legendgroup=name,
            showlegend=side == "low",
            hoverinfo="skip",
        )


def _add_usual_spread(figure: Sketch, limits: pd.DataFrame) -> None:
    for side in ("low", "high"):
        figure.trace(
            "scatter",
            x=limits["ewes"],
            y=limits[f"{side}_wide"] * 100,
            mode="lines",
            line={"width": 0},
            fill="tonexty" if side == "high" else "none",
            fillcolor="rgba(85, 96, 90, 0.14)",
            name="Usual for flocks that differ",
            showlegend=side == "high",
            hoverinfo="skip",
        )


def _add_level(figure: Sketch, limits: pd.DataFrame, level: float, name: str, dash: str) -> None:
    colour = colours.VERMILLION if dash == "longdash" else colours.SOFT_INK
    figure.trace(
        "scatter",
        x=[0, limits["ewes"].max()],
        y=[level * 100, level * 100],
        mode="lines",
        line={"color": colour, "width": 1.5, "dash": dash},
        name=name,
        hoverinfo="skip",
    )


def _add_names(figure: Sketch, points: pd.DataFrame, limits: pd.DataFrame, top: float, right: float) -> None:
    """Names beside the flocks that stand farthest above the outer line, as there is no hovering on paper; one
    that would be written across another on a phone is left out."""
    above = points["thin_share"] - np.interp(points["ewes"], limits["ewes"], limits["high_998"])
    farthest = above[above > 0].nlargest(NAMED).index
    taken: list[tuple[float, float, float]] = []
    for name, ewes, share in points.loc[farthest, ["name", "ewes", "thin_share"]].to_numpy():
        x, y, wide = ewes / right * ACROSS, share * 100 / top * UP, len(str(name)) * LETTER
        anchor, start = _beside(x, wide)
        if any(abs(y - line) < LINE and start < end and begin < start + wide for begin, end, line in taken):
            continue
        taken.append((start, start + wide, y))
        figure.note(
            text=escape(str(name)), x=ewes, y=share * 100, yshift=14, xanchor=anchor, font={"size": 11.5}
        )


def _beside(x: float, wide: float) -> tuple[str, float]:
    """How a name is anchored to its mark so that it stays between the axes, and where it then begins."""
    if x < wide / 2:
        return "left", x
    return ("right", x - wide) if x + wide / 2 > ACROSS else ("center", x - wide / 2)


def _add_flocks(figure: Sketch, points: pd.DataFrame, system: str, symbol: str) -> None:
    if points.empty:
        return
    figure.trace(
        "scatter",
        x=points["ewes"],
        y=points["thin_share"] * 100,
        mode="markers",
        marker={
            "symbol": symbol,
            "size": 11,
            "color": colours.SYSTEM_COLOUR[system],
            "line": {"width": 1, "color": colours.PAPER},
        },
        name=system.capitalize(),
        customdata=frame.safe(points["name"]),
        hovertemplate="%{customdata}<br>%{y:.0f}\u00a0% thin of %{x} scored<extra></extra>",
    )
