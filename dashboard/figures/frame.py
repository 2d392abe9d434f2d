"""What all pictures have in common: a title, a sentence saying what it means, plain axes.

Title and meaning travel in the layout's `meta`, because a title drawn by plotly does not wrap on a phone:
the page shows them as text, and the saved picture gets them written in (see assets/pictures.js).
"""

from __future__ import annotations

from collections.abc import Iterable
from html import escape
from typing import Any

import numpy as np

from dashboard.figures import colours
from dashboard.figures.sketch import Sketch

ROW_PIXELS = 58
FONT = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Helvetica Neue', Arial, sans-serif"


def framed(sketch: Sketch, *, title: str, meaning: str, x: str, y: str, height: int) -> Sketch:
    """`sketch` with its title, meaning and axis titles set and everything that is not data taken away."""
    sketch.lay_out(
        meta={"title": title, "meaning": meaning},
        height=height,
        margin={"l": 48, "r": 24, "t": 12, "b": 56},
        font={"family": FONT, "size": 13, "color": colours.INK},
        paper_bgcolor=colours.PAPER,
        plot_bgcolor=colours.PAPER,
        dragmode=False,
        hoverlabel={"font": {"family": FONT}, "bgcolor": colours.PAPER},
        legend={"orientation": "h", "x": 0, "y": 1, "yanchor": "bottom", "xanchor": "left"},
        xaxis=_axis(x),
        yaxis=_axis(y),
    )
    return sketch


def _axis(title: str) -> dict[str, Any]:
    return {
        "title": {"text": title, "standoff": 8},
        "fixedrange": True,
        "gridcolor": colours.LINE,
        "linecolor": colours.LINE,
        "zeroline": False,
        "automargin": True,
    }


def percents(step: int) -> dict[str, Any]:
    """Ticks of an axis of percentages, written `25 %`."""
    return {"dtick": step, "tick0": 0, "ticksuffix": "\u00a0%"}


def row_label(text: str, y: float) -> dict[str, Any]:
    """An annotation that names a row above its left end, where even a long name fits on a phone."""
    return {
        "text": escape(text),
        "x": 0,
        "y": y,
        "xref": "x domain",
        "yref": "y",
        "xanchor": "left",
        "yanchor": "bottom",
        "font": {"size": 12.5},
        "align": "left",
    }


def rows_height(rows: int) -> int:
    """Pixels for a picture with one labelled row under another."""
    return rows * ROW_PIXELS + 96


def safe(texts: Iterable[object]) -> np.ndarray:
    """Texts for hover boxes: plotly reads markup there, and a farm's name is only text."""
    return np.array([escape(str(text)) for text in texts], dtype=object)
