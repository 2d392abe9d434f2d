"""How the condition scores are spread: one row of bars per group or farm, with the band it is judged by."""

from __future__ import annotations

import numpy as np
import pandas as pd

from dashboard.figures import colours, frame
from dashboard.figures.sketch import Sketch

FEWEST_ROWS = 3  # of room, so that the axis can say what it shows
TALLEST = 0.58  # of a row's height; the rest holds its label
ROW = ("label", "low", "high", "base")
Columns = dict[str, np.ndarray]  # plain arrays: a frame costs more than the picture's few numbers


def distributions(cells: pd.DataFrame, *, title: str, meaning: str) -> Sketch:
    """Rows of bars over a common score axis, first label on top.

    `cells` has one row per label and score: `label`, `score` (1–5), `ewes`, `low` and `high` (the band).
    Bar heights are shares of the ewes of their own row, on one scale for all rows.
    """
    drawn = _placed(cells)
    figure = Sketch()
    for condition in colours.CONDITIONS:
        chosen = drawn["condition"] == condition
        _add_bars(figure, {name: column[chosen] for name, column in drawn.items()}, condition)
    rows = np.unique(drawn["base"], return_index=True)[1][::-1]
    for label, low, high, base in zip(*(drawn[name][rows] for name in ROW), strict=True):
        figure.shape("rect", **_band(low, high, base))
        figure.note(**frame.row_label(label, base + TALLEST + 0.02))
    frame.framed(
        figure,
        title=title,
        meaning=f"{meaning} The tallest bar is {drawn['share'].max() * 100:.0f} % of its row.",
        x="Condition score (1 to 5)",
        y="Share of ewes (%)",
        height=frame.rows_height(max(len(rows), FEWEST_ROWS)),
    )
    figure.lay_out(
        barmode="overlay",
        bargap=0,
        margin={"t": 36},
        xaxis={"range": [0.8, 5.2], "dtick": 0.5, "showgrid": False},
        yaxis={"range": [-0.02, len(rows)], "showticklabels": False, "showgrid": False},
    )
    return figure


def condition(score: float, low: float, high: float) -> colours.Condition:
    """Thin below `low`, over above `high`, else on target."""
    if score < low:
        return "thin"
    return "over" if score > high else "on target"


def _placed(cells: pd.DataFrame) -> Columns:
    """`cells` with each bar's share, height, width, foot and condition."""
    row, labels = pd.factorize(cells["label"])
    score, low, high = (cells[name].to_numpy(float) for name in ("score", "low", "high"))
    ewes = cells["ewes"].to_numpy()
    share = ewes / np.bincount(row, ewes)[row]
    width = np.array([_step(score[row == one]) for one in range(len(labels))])[row] * 0.88
    return {
        "label": cells["label"].to_numpy(object),
        "score": score,
        "ewes": ewes,
        "low": low,
        "high": high,
        "base": len(labels) - 1 - row,
        "share": share,
        "height": share / share.max() * TALLEST,
        "width": width,
        "condition": np.array(list(map(condition, score, low, high)), dtype=object),
    }


def _step(scores: np.ndarray) -> float:
    """The step a row was scored in: a scorer of half scores gets bars half a score wide."""
    for step in (1.0, 0.5):
        if np.allclose(scores % step, 0):
            return step
    return 0.25


def _add_bars(figure: Sketch, bars: Columns, condition: colours.Condition) -> None:
    figure.trace(
        "bar",
        x=bars["score"],
        y=bars["height"],
        base=bars["base"],
        width=bars["width"],
        name=condition.capitalize(),
        marker={
            "color": colours.CONDITION_COLOUR[condition],
            "pattern": {
                "shape": colours.CONDITION_HATCH[condition],
                "fgcolor": colours.PAPER,
                "fillmode": "overlay",
                "size": 5,
            },
            "line": {"width": 0},
        },
        customdata=list(zip(frame.safe(bars["label"]), bars["ewes"], bars["share"] * 100, strict=True)),
        hovertemplate=(
            "%{customdata[0]}<br>score %{x}: %{customdata[1]} ewes, %{customdata[2]:.0f}\u00a0%"
            f"<extra>{condition}</extra>"
        ),
    )


def _band(low: float, high: float, base: float) -> dict[str, object]:
    return {
        "x0": low - 0.125,
        "x1": high + 0.125,
        "y0": base,
        "y1": base + TALLEST,
        "fillcolor": colours.BLUISH_GREEN,
        "opacity": 0.13,
        "line": {"width": 0},
        "layer": "below",
    }
