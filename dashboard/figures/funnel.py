"""Share thin against the number scored: a small sample is not mistaken for a bad farm."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np
import pandas as pd

from dashboard.figures import colours, frame
from dashboard.figures.sketch import Sketch

# pixels: the height within the axes, a line of text, a letter, from a mark to its name, half a mark
UP, LINE, LETTER, OFF, MARK = 300.0, 16.0, 6.4, 14.0, 5.5
MEANING = (
    "Each mark is a flock. Between the lines is what chance alone would give: the fewer ewes scored, the "
    "wider. A flock above the upper line has more thin ewes than luck explains; one above the grey area "
    "stands out even among flocks that differ as these do."
)


@dataclass(frozen=True, slots=True)
class Room:
    """Names that there is room for where `across` pixels lie within the axes, and how they are marked."""

    across: float
    names: int
    opacity: float


# On a phone, at a desk's least width, on a wide screen. The stylesheet hides a name where only a wider screen
# has room for it; it knows such a name by its opacity, as plotly gives it no class of its own.
ROOMS = (Room(240.0, 6, 1.0), Room(430.0, 12, 0.999), Room(960.0, 12, 0.998))


@dataclass(frozen=True, slots=True)
class Name:
    """A flock's name at its mark: where that is as a part of the axes, the side it is held by, and how many
    pixels above it."""

    text: str
    x: float
    y: float
    anchor: str
    above: float
    opacity: float

    def crosses(self, other: Name, across: float) -> bool:
        """Whether the two are written across one another."""
        start, end = self._ends(across)
        begin, stop = other._ends(across)
        apart = (self.y - other.y) * UP + self.above - other.above
        return abs(apart) < LINE and start < stop and begin < end

    def covers(self, x: float, y: float, across: float) -> bool:
        """Whether the mark of a flock at `x`, `y` is under the name."""
        start, end = self._ends(across)
        clear = abs((self.y - y) * UP + self.above) >= LINE / 2 + MARK
        return not clear and start - MARK < x * across < end + MARK

    def _ends(self, across: float) -> tuple[float, float]:
        wide, at = len(self.text) * LETTER, self.x * across
        start = at - {"left": 0.0, "center": wide / 2, "right": wide}[self.anchor]
        return start, start + wide


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
    """Names beside the flocks that stand farthest above the outer line, as there is no hovering on paper."""
    above = points["thin_share"] - np.interp(points["ewes"], limits["ewes"], limits["high_998"])
    farthest = above[above > 0].nlargest(max(room.names for room in ROOMS)).index
    marks = [(x / right, share * 100 / top) for x, share in points[["ewes", "thin_share"]].to_numpy()]
    named = points.index.get_indexer(farthest)
    for name in placed([(str(points["name"].iloc[at]), *marks[at]) for at in named], marks):
        figure.note(
            text=escape(name.text),
            x=name.x * right,
            y=name.y * top,
            yshift=name.above,
            xanchor=name.anchor,
            opacity=name.opacity,
            font={"size": 11.5},
        )


def placed(
    flocks: Sequence[tuple[str, float, float]], marks: Sequence[tuple[float, float]] = ()
) -> list[Name]:
    """The names that cross no other, and cover none of `marks`, at the width for which they are shown.

    `flocks`: name, and where its mark is as parts of the axes (0–1), those to be named first in front.
    """
    found: dict[tuple[str, float, float], Name] = {}
    for room in ROOMS:
        for flock in flocks[: room.names]:
            ways = [_named(*flock, above, room) for above in (OFF, -OFF)]
            free = (way for way in ways if _free(way, list(found.values()), marks, room.across))
            if flock not in found and (name := next(free, None)):
                found[flock] = name
    return list(found.values())


def _free(name: Name, others: Sequence[Name], marks: Sequence[tuple[float, float]], across: float) -> bool:
    crossing = any(name.crosses(other, across) for other in others)
    return not crossing and not any(name.covers(x, y, across) for x, y in marks)


def _named(text: str, x: float, y: float, above: float, room: Room) -> Name:
    return Name(text, x, y, _anchor(x * room.across, len(text) * LETTER, room.across), above, room.opacity)


def _anchor(x: float, wide: float, across: float) -> str:
    """How a name is held to its mark so that it stays between the axes."""
    if x < wide / 2:
        return "left"
    return "right" if x + wide / 2 > across else "center"


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
