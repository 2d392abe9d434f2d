"""Shares with their intervals, one labelled row each."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import pandas as pd

from dashboard.figures import colours, frame
from dashboard.figures.sketch import Sketch


@dataclass(frozen=True, slots=True)
class Quartiles:
    """The middle of the farms compared: shares 0–1."""

    lower: float
    median: float
    upper: float


def on_target(rows: pd.DataFrame, quartiles: Quartiles, *, meaning: str) -> Sketch:
    """Share on target of each farm, best first, with the practice's median and quartiles.

    `rows`: `label`, `share`, `low`, `high` (0–1), `ewes`.
    """
    figure = Sketch()
    _add_intervals(figure, rows, "On target", colours.BLUISH_GREEN)
    _add_quartiles(figure, quartiles)
    return _share_frame(
        figure, rows, "Share on target, farm by farm", meaning, "Share on target (% of ewes scored)"
    )


def _add_quartiles(figure: Sketch, quartiles: Quartiles) -> None:
    whole_height = {"yref": "y domain", "y0": 0, "y1": 1}
    grey = {"fillcolor": colours.SOFT_INK, "opacity": 0.12, "line": {"width": 0}}
    dashed = {"color": colours.SOFT_INK, "width": 1.5, "dash": "dash"}
    lower, median, upper = (part * 100 for part in (quartiles.lower, quartiles.median, quartiles.upper))
    figure.shape("rect", x0=lower, x1=upper, **whole_height, **grey)
    figure.shape("line", x0=median, x1=median, line=dashed, **whole_height)


def readiness(rows: pd.DataFrame, *, meaning: str) -> Sketch:
    """Share ready at scoring and expected when the rams go in, group by group.

    `rows`: `label`, `ready_now_share`, `share`, `low`, `high` (0–1), `ewes`.
    """
    return _beside(
        rows,
        ("ready_now_share", "Ready when scored"),
        "Expected on the day",
        title="Ready when scored, and when it counts",
        meaning=meaning,
        x="Share ready (% of ewes)",
    )


def tried(rows: pd.DataFrame, *, meaning: str) -> Sketch:
    """Share ready under a plan that is tried out, beside that of the plan as it stands (`as_it_stands`)."""
    return _beside(
        rows,
        ("as_it_stands", "As it stands"),
        "With what is tried",
        title="Ready on the day, tried and as it stands",
        meaning=meaning,
        x="Share ready (% of ewes)",
    )


def promised(rows: pd.DataFrame, *, meaning: str) -> Sketch:
    """Share of ranges that held, beside the share that was `promised`; `ewes` are predictions here."""
    return _beside(
        rows,
        ("promised", "Promised"),
        "Held",
        title="Ranges that held, and how many should have",
        meaning=meaning,
        x="Share of predictions (%)",
    )


def _beside(
    rows: pd.DataFrame, diamond: tuple[str, str], dot: str, *, title: str, meaning: str, x: str
) -> Sketch:
    """Dots with their intervals, and open diamonds from another column (its name, and what it is called)."""
    figure = Sketch()
    column, name = diamond
    _add_intervals(figure, rows, dot, colours.BLUISH_GREEN)
    figure.trace(
        "scatter",
        x=rows[column] * 100,
        y=_places(rows),
        mode="markers",
        marker={"symbol": "diamond-open", "size": 11, "color": colours.BLUE, "line": {"width": 2}},
        name=name,
        hovertemplate=f"%{{x:.0f}}\u00a0% {name.lower()}<extra></extra>",
    )
    _share_frame(figure, rows, title, meaning, x)
    figure.lay_out(showlegend=True, margin={"t": 36})
    return figure


def _places(rows: pd.DataFrame) -> list[float]:
    return [len(rows) - 1 - i + 0.3 for i in range(len(rows))]


def _add_intervals(figure: Sketch, rows: pd.DataFrame, name: str, colour: str) -> None:
    share, low, high = (rows[column].to_numpy(float) * 100 for column in ("share", "low", "high"))
    figure.trace(
        "scatter",
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
        customdata=list(zip(frame.safe(rows["label"]), low, high, rows["ewes"], strict=True)),
        hovertemplate=(
            "%{customdata[0]}<br>%{x:.0f}\u00a0%, between %{customdata[1]:.0f} and "
            "%{customdata[2]:.0f}\u00a0%<br>%{customdata[3]} ewes<extra></extra>"
        ),
    )


def _share_frame(figure: Sketch, rows: pd.DataFrame, title: str, meaning: str, x: str) -> Sketch:
    for label, place in zip(rows["label"], _places(rows), strict=True):
        figure.note(**frame.row_label(str(label), place + 0.14))
    frame.framed(figure, title=title, meaning=meaning, x=x, y="", height=frame.rows_height(len(rows)))
    figure.lay_out(
        showlegend=False,
        margin={"l": 12},
        xaxis={"range": [-2, 102], **frame.percents(25)},
        yaxis={"range": [-0.1, len(rows)], "showticklabels": False, "showgrid": False},
    )
    return figure
