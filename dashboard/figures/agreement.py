"""Two scorers' scores of the same ewes, crossed: on the line they agree."""

from __future__ import annotations

from html import escape

import pandas as pd

from dashboard.figures import colours, frame
from dashboard.figures.sketch import Sketch

LARGEST = 30  # pixels across of the commonest pair of scores


def crossed(table: pd.DataFrame, first: str, second: str) -> Sketch:
    """A disc for each pair of scores, its area the number of ewes.

    `table`: `first`, `second` (scores, 1–5) and `ewes`.
    """
    figure = Sketch()
    low = float(table[["first", "second"]].min().min()) - 0.5
    high = float(table[["first", "second"]].max().max()) + 0.5
    line = {"color": colours.SOFT_INK, "dash": "dash"}
    figure.shape("line", x0=low, y0=low, x1=high, y1=high, line=line, layer="below")  # not across a number
    figure.trace(
        "scatter",
        x=table["first"],
        y=table["second"],
        mode="markers+text",
        text=[str(ewes) for ewes in table["ewes"]],
        textposition="middle center",
        marker={
            "size": table["ewes"] / table["ewes"].max() * LARGEST**2,
            "sizemode": "area",
            "sizeref": 1,
            "sizemin": 8,
            "color": colours.BLUE,
            "opacity": 0.4,
        },
        customdata=table["ewes"],
        hovertemplate="%{x} and %{y}: %{customdata} ewes<extra></extra>",
        cliponaxis=False,
    )
    frame.framed(
        figure,
        title="The same ewes, scored twice",
        meaning=(
            "The larger a disc, the more ewes had that pair of scores; the number stands in it. On the "
            "dashed "
            f"line both said the same; above it {second} scored higher, below it {first}."
        ),
        x=f"Score by {escape(first)}",
        y=f"Score by {escape(second)}",
        height=420,
    )
    steps = {"range": [low, high], "dtick": 0.5}
    figure.lay_out(showlegend=False, xaxis=steps, yaxis=steps)
    return figure
