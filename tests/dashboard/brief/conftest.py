"""One invented farm's published tables, and a reader of what was really drawn on a page."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from io import BytesIO
from typing import Any

import pandas as pd
import pytest
from pypdf import PdfReader
from pypdf.generic import ContentStream

from dashboard.brief.tables import Tables
from pipelines.settings import DaysPerScore

GAIN = {"best": DaysPerScore(52, 40, 70), "ordinary": DaysPerScore(75, 50, 120)}
AS_OF, SCORED, WEANED = date(2026, 8, 20), date(2026, 8, 14), date(2026, 7, 24)
RAMS_IN, READY_BY = date(2026, 11, 3), date(2026, 10, 20)
NOW = {1.5: 3, 2.0: 14, 2.25: 24, 2.5: 60, 3.0: 61, 3.5: 18}  # 180 ewes, 41 below 2.5
THEN = {1.5: 6, 2.0: 30, 2.25: 30, 2.5: 50, 3.0: 49, 3.5: 10}  # 175 ewes, 66 below 2.5


def summary(
    day: date, stage: str, group: str, cells: dict[float, int], low: float, high: float
) -> dict[str, Any]:
    thin = sum(ewes for score, ewes in cells.items() if score < low)
    over = sum(ewes for score, ewes in cells.items() if score > high)
    ewes = sum(cells.values())
    return {
        "farm": "H01", "season": 2026, "scored_on": day, "stage": stage, "group": group, "ewes": ewes,
        "mean_score": sum(score * n for score, n in cells.items()) / ewes, "thin": thin,
        "on_target": ewes - thin - over, "over": over, "thin_share": thin / ewes,
        "thin_share_low": max(0.0, thin / ewes - 0.05), "thin_share_high": min(1.0, thin / ewes + 0.05),
        "on_target_share": (ewes - thin - over) / ewes, "target_low": low, "target_high": high,
        "scorers": "M. Reed, T. Aldous",
    }  # fmt: skip


def readiness(group: str, cells: dict[float, int], why_not: str | None = None) -> dict[str, Any]:
    to_gain = sum(ewes for score, ewes in cells.items() if score < 2.5)
    share = None if why_not else 0.69
    return {
        "farm": "H01", "season": 2026, "group": group, "scored_on": SCORED, "ready_by": READY_BY,
        "days_left": 61, "ewes": sum(cells.values()), "ready_now_share": 0.67, "ready_share": share,
        "ready_share_low": None if why_not else 0.61, "ready_share_high": None if why_not else 0.78,
        "ewes_to_gain": to_gain, "ewes_unlikely": None if why_not else 0, "days_needed_median": 26.0,
        "grazing": "ordinary", "grazing_named": True,
        "target_low": 2.5, "target_high": 3.0, "on_best_low": 0.7, "on_best_high": 0.85, "why_not": why_not,
    }  # fmt: skip


def spread(cells: dict[float, int], groups: int) -> list[dict[float, int]]:
    return [{score: ewes // groups + (place < ewes % groups) for score, ewes in cells.items()}
            for place in range(groups)]  # fmt: skip


ACTIONS = ("best grazing", "hold", "unlikely in time", "hard going")
NAMES = ["Top hill", "Shearlings on the in-bye below the road", *(f"Hirsel {n}" for n in range(3, 15))]


def ewe(number: int, groups: int = 1) -> dict[str, Any]:
    action = ACTIONS[number // groups % 4] if groups > 3 else ACTIONS[0]
    return {
        "farm": "H01", "group": NAMES[number % groups], "ewe": f"8260998120{number:05d}", "score": 2.0,
        "target_low": 2.5, "days_needed": 26.0, "days_left": 61, "chance_ready": 0.82, "action": action,
        "rescore_by": date(2026, 9, 4), "thin_sessions": 3 if number % 7 == 0 else 1,
    }  # fmt: skip


def register(name: str, season: int = 2026) -> dict[str, Any]:
    return {
        "farm": "H01", "season": season, "name": name, "system": "hill", "ewes": 420, "weaned_on": WEANED,
        "rams_in": RAMS_IN, "flush_days": 14, "ready_by": READY_BY, "best_grazing_places": 30,
        "region": "Upper Marl", "breed": None, "discussion_group": "Marl Water", "contact": "A. Penn",
    }  # fmt: skip


def farm_tables(
    name: str = "High Sallow",
    groups: int = 3,
    tagged: int = 12,
    why_not: str | None = None,
    scored: bool = True,
) -> Tables:
    """Group names are long on purpose; the whole session is always the same 180 ewes, 41 of them thin."""
    parts = dict(zip(NAMES[:groups], spread(NOW, groups), strict=True))
    sessions = [
        summary(WEANED, "weaning", "ALL", THEN, 1.75, 3.0),
        summary(SCORED, "pre-tupping", "ALL", NOW, 2.5, 3.0),
    ]
    sessions += [summary(SCORED, "pre-tupping", group, cells, 2.5, 3.0) for group, cells in parts.items()]
    cells = [(WEANED, "Top hill", THEN), *((SCORED, group, part) for group, part in parts.items())]
    distribution = [
        {"farm": "H01", "season": 2026, "scored_on": day, "group": group, "score": score, "ewes": ewes}
        for day, group, part in cells for score, ewes in part.items()
    ]  # fmt: skip
    projected = [
        readiness("ALL", NOW, why_not),
        *(readiness(group, part, why_not) for group, part in parts.items()),
    ]
    standing = [{"farm": "H01", "season": 2026, "stage": "pre-tupping", "chance_too_many_thin": 0.97}]
    frames = {
        "sessions": sessions, "distribution": distribution, "readiness": projected,
        "ewes": [ewe(number, groups) for number in range(1, tagged + 1)], "standing": standing,
    }  # fmt: skip
    return Tables(
        farm="H01", season=2026, as_of=AS_OF, seasons=pd.DataFrame([register(name)]), gain=GAIN,
        thin_limit=0.1,
        **{table: pd.DataFrame(found if scored else found[:0], columns=list(found[0]) if found else COLUMNS)
           for table, found in frames.items()},
    )  # fmt: skip


COLUMNS = list(ewe(1))


@pytest.fixture
def tables() -> Callable[..., Tables]:
    return farm_tables


@dataclass(frozen=True)
class Box:
    """Something drawn on a page, in points from its lower left corner; `said` is '' for lines."""

    page: int
    said: str
    left: float
    bottom: float
    right: float
    top: float


@pytest.fixture
def drawn() -> Callable[[bytes], list[Box]]:
    return lambda content: list(_boxes(content))


def _boxes(content: bytes) -> Iterator[Box]:
    """Every text and line of a PDF, found by replaying its drawing operators (PDF 32000-1, 8 and 9)."""
    reader = PdfReader(BytesIO(content))
    for number, page in enumerate(reader.pages, 1):
        fonts = {str(name): font.get_object() for name, font in page["/Resources"]["/Font"].items()}
        yield from _page_boxes(number, ContentStream(page.get_contents(), reader), fonts)


def _page_boxes(page: int, stream: ContentStream, fonts: dict[str, Any]) -> Iterator[Box]:
    at, saved = (1.0, 0.0, 0.0, 1.0, 0.0, 0.0), []
    line = pen = font = None
    size = leading = 0.0
    for operands, operator in stream.operations:
        name, values = operator.decode(), operands
        if name == "q":
            saved.append(at)
        elif name == "Q":
            at = saved.pop()
        elif name == "cm":
            at = _times([float(v) for v in values], at)
        elif name == "Tf":
            font, size = fonts[str(values[0])], float(values[1])
        elif name == "TL":
            leading = float(values[0])
        elif name == "Tm":
            line = pen = tuple(float(v) for v in values)
        elif name == "Td":
            line = pen = _times((1, 0, 0, 1, float(values[0]), float(values[1])), line)
        elif name == "T*":
            line = pen = _times((1, 0, 0, 1, 0, -leading), line)
        elif name == "Tj":
            wide = _width(values[0].original_bytes, font) * size
            origin = _times(pen, at)
            yield Box(
                page, "text", origin[4], origin[5], origin[4] + wide * origin[0], origin[5] + size * 0.7
            )
            pen = _times((1, 0, 0, 1, wide, 0), pen)
        elif name in ("m", "l"):
            x, y = (float(v) for v in values)
            x, y = at[0] * x + at[2] * y + at[4], at[1] * x + at[3] * y + at[5]
            yield Box(page, "", x, y, x, y)


def _times(inner: Sequence[float], outer: Sequence[float]) -> tuple[float, ...]:
    a, b, c, d, e, f = inner
    p, q, r, s, t, u = outer
    return (a * p + b * r, a * q + b * s, c * p + d * r, c * q + d * s, e * p + f * r + t, e * q + f * s + u)


def _width(raw: bytes, font: Any) -> float:
    first = int(font["/FirstChar"])
    widths = [float(wide) for wide in font["/Widths"]]
    return sum(widths[code - first] for code in raw.rstrip(b" ")) / 1000  # a space at the end draws nothing
