"""How well the share thin is known, against how many are scored."""

from __future__ import annotations

from collections.abc import Sequence

from dashboard.figures import colours, frame
from dashboard.figures.sketch import Sketch

TITLE = "What scoring more ewes is worth"
MEANING = (
    "The more ewes scored, the closer the share thin is known. Each further ewe adds less than the one "
    "before; when all are scored nothing is left to chance."
)


def precision(points: Sequence[tuple[int, float]], scored: int, within: float) -> Sketch:
    """`points` are (ewes scored, half the 90 % interval, 0–1); `scored` are enough for ± `within` (0–1)."""
    figure = Sketch()
    ewes, halves = zip(*points, strict=True)
    figure.trace(
        "scatter",
        x=list(ewes),
        y=[half * 100 for half in halves],
        mode="lines",
        line={"color": colours.BLUE, "width": 3},
        hovertemplate="%{x} scored: ± %{y:.0f} points<extra></extra>",
    )
    figure.trace(
        "scatter",
        x=[0, scored, scored],
        y=[within * 100, within * 100, 0],
        mode="lines",
        line={"color": colours.VERMILLION, "width": 1.5, "dash": "dash"},
        hoverinfo="skip",
    )
    figure.note(
        text=f"{scored:,} ewes: ± {within * 100:.0f} points",
        x=scored,
        y=within * 100,
        xanchor="left" if scored < ewes[-1] / 2 else "right",
        yanchor="bottom" if scored < ewes[-1] / 2 else "top",
    )
    y = "Share thin within ± (points)"
    frame.framed(figure, title=TITLE, meaning=MEANING, x="Ewes scored (number)", y=y, height=320)
    figure.lay_out(showlegend=False, xaxis={"range": [0, ewes[-1] * 1.02]}, yaxis={"rangemode": "tozero"})
    return figure
