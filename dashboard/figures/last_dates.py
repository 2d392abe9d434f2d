"""Last useful dates: a line of dates for each thin score, a mark for each class of grazing."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

import pandas as pd

from dashboard.figures import colours, frame
from dashboard.figures.sketch import Sketch

MARKS: Final = {
    "best": ("Best grazing", colours.BLUISH_GREEN, "circle", 0.36),
    "ordinary": ("Ordinary grazing", colours.ORANGE, "square", 0.18),
}
MARGIN = timedelta(days=6)


def last_dates(rows: pd.DataFrame, *, today: date, ready_by: date) -> Sketch:
    """Days by which ewes must be on better grazing.

    `rows`: `score`, `ewes`, `grazing` ('best' or 'ordinary') and the days `usual`, `slow`, `fast`.
    """
    figure = Sketch()
    scores = sorted(set(rows["score"]))
    place = {score: len(scores) - 1 - i for i, score in enumerate(scores)}
    for grazing, marks in MARKS.items():
        _add(figure, rows[rows["grazing"] == grazing], place, marks)
    for day, dash in ((today, "dash"), (ready_by, "solid")):
        line = {"color": colours.SOFT_INK, "width": 1.5, "dash": dash}
        figure.shape("line", x0=day, x1=day, yref="y domain", y0=0, y1=1, line=line)
    for score, ewes in rows.drop_duplicates("score")[["score", "ewes"]].itertuples(index=False):
        label = f"Score {score:g} ({ewes:,} ewe{'' if ewes == 1 else 's'})"
        figure.note(**frame.row_label(label, place[score] + 0.5))
    frame.framed(
        figure,
        title="Last useful dates",
        meaning=(
            "The last day to move a ewe of each score and still have her ready: the mark at the usual rate "
            "of gain, its bar from a slow season (left) to a fast one (right), nine times in ten. The broken "
            "line is today: a mark left of it is too late. The full line is the day to be ready."
        ),
        x="Day",
        y="",
        height=frame.rows_height(len(scores)),
    )
    earliest = min(*rows["slow"], today) - MARGIN
    figure.lay_out(
        margin={"l": 12, "t": 36},
        xaxis={"range": [earliest, ready_by + MARGIN], "type": "date", "tickformat": "%-d %b"},
        yaxis={"range": [-0.1, len(scores)], "showticklabels": False, "showgrid": False},
    )
    return figure


def _add(
    figure: Sketch, rows: pd.DataFrame, place: dict[float, int], marks: tuple[str, str, str, float]
) -> None:
    name, colour, symbol, height = marks
    at = [place[score] + height for score in rows["score"]]
    ends = [end for slow, fast in zip(rows["slow"], rows["fast"], strict=True) for end in (slow, fast, None)]
    figure.trace(
        "scatter",
        x=ends,
        y=[y for y in at for _ in range(3)],
        mode="lines",
        line={"color": colour, "width": 3},
        hoverinfo="skip",
        showlegend=False,
    )
    figure.trace(
        "scatter",
        x=list(rows["usual"]),
        y=at,
        mode="markers",
        marker={"symbol": symbol, "size": 11, "color": colour},
        name=name,
        customdata=[[f"{score:g}"] for score in rows["score"]],
        hovertemplate=f"score %{{customdata[0]}}: by %{{x|%-d %b}}<extra>{name.lower()}</extra>",
    )
