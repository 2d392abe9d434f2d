"""A plotly figure as plain data.

`plotly.graph_objects` checks every property as it is set, which took most of a page's time. What is drawn
here is fixed by this package, so the tests check it instead, once, against plotly's own schema.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from typing import Any

import numpy as np
import pandas as pd

DIGITS = 4  # finer than any screen, and a third of the bytes


class Sketch:
    """Traces and layout in plotly's own terms (its JavaScript reference), to be filled step by step."""

    def __init__(self) -> None:
        self.data: list[dict[str, Any]] = []
        self.layout: dict[str, Any] = {}

    def trace(self, kind: str, **properties: Any) -> None:
        """Add a trace: 'scatter', 'bar' …; arrays and columns may be given as they are."""
        self.data.append({"type": kind, **{name: _plain(value) for name, value in properties.items()}})

    def shape(self, kind: str, **properties: Any) -> None:
        """Add a line or rectangle that is not data."""
        self.layout.setdefault("shapes", []).append({"type": kind, **_plain(properties)})

    def note(self, **properties: Any) -> None:
        """Add an annotation."""
        self.layout.setdefault("annotations", []).append({"showarrow": False, **_plain(properties)})

    def lay_out(self, **properties: Any) -> None:
        """Set parts of the layout; a part that holds parts is added to, not replaced."""
        _merge(self.layout, _plain(properties))

    def plain(self) -> dict[str, Any]:
        """The figure as `dcc.Graph` takes it."""
        return {"data": self.data, "layout": self.layout}


def _merge(into: dict[str, Any], parts: Mapping[str, Any]) -> None:
    for name, value in parts.items():
        if isinstance(value, dict) and isinstance(into.get(name), dict):
            _merge(into[name], value)
        else:
            into[name] = value


def _plain(value: Any) -> Any:
    """Numbers, text and lists only, so that no encoder has to guess; a missing number is a gap."""
    if isinstance(value, dict):
        return {name: _plain(part) for name, part in value.items()}
    if isinstance(value, pd.Series | np.ndarray):
        return _column(np.asarray(value))
    if isinstance(value, list | tuple):
        return [_plain(part) for part in value]
    if isinstance(value, float):
        return None if value != value else round(float(value), DIGITS)
    if isinstance(value, np.generic):
        return _plain(value.item())
    return value.isoformat()[:10] if isinstance(value, date | datetime) else value


def _column(values: np.ndarray) -> list[Any]:
    """A whole column at once: thousands of flocks may stand in one picture."""
    if values.dtype.kind != "f":
        return [str(value)[:10] for value in values] if values.dtype.kind == "M" else list(values.tolist())
    rounded: list[Any] = values.round(DIGITS).tolist()
    return [None if value != value else value for value in rounded] if np.isnan(values).any() else rounded
