"""Whether ranges held what they promised to hold."""

from __future__ import annotations

import pandas as pd

from dashboard.figures import colours, frame
from dashboard.figures.shares import promised
from dashboard.figures.sketch import Sketch
from pipelines.readiness.backtest import BINS, LEVELS, Report
from pipelines.statistics.proportions import wilson


def held(report: Report) -> Sketch:
    """Share of the ranges that held, for each share promised, with its 90 % interval."""
    counts = [round(share * report.predictions) for share in report.covered]
    low, high = wilson(counts, [report.predictions] * len(counts))
    rows = pd.DataFrame(
        {
            "label": [f"{level:.0%} ranges".replace("%", " %") for level in LEVELS],
            "promised": LEVELS,
            "share": report.covered,
            "low": low,
            "high": high,
            "ewes": report.predictions,
        }
    )
    meaning = (
        f"{report.predictions} predictions. The diamond is how many ranges were to hold what came, the dot "
        "how many did; its bar is what chance leaves open. A dot left of its diamond: the ranges were too "
        "narrow."
    )
    return promised(rows, meaning=meaning)


def places(report: Report) -> Sketch:
    """Where in their predicted ranges the recorded shares fell: ten bins from lowest to highest."""
    level = report.predictions / BINS
    centres = [(place + 0.5) / BINS for place in range(BINS)]
    figure = Sketch()
    figure.trace(
        "bar",
        x=centres,
        y=list(report.calibration),
        width=0.9 / BINS,
        marker={"color": colours.SKY_BLUE, "line": {"width": 0}},
        hovertemplate="%{y} sessions<extra></extra>",
    )
    dashed = {"color": colours.SOFT_INK, "width": 1.5, "dash": "dash"}
    figure.shape("line", xref="x domain", x0=0, x1=1, y0=level, y1=level, line=dashed)
    frame.framed(
        figure,
        title="Where in its range each session fell",
        meaning=(
            "Far left: fewer ready than almost any projected; far right: more. Honest ranges give bars level "
            "with the broken line; a heap at one end means a lean, heaps at both ends ranges too narrow."
        ),
        x="Place in the predicted range",
        y="Sessions (number)",
        height=3 * frame.ROW_PIXELS + 96,
    )
    ticks = {"tickvals": [0, 0.5, 1], "ticktext": ["lowest", "middle", "highest"]}
    figure.lay_out(xaxis={"range": [-0.02, 1.02], "showgrid": False} | ticks, showlegend=False)
    return figure
