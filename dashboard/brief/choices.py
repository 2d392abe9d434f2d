"""What an adviser chooses for the plan of a visit, as the link of its page says it.

A link may have been typed, cut or tampered with, so whatever is not understood or out of range is left out
and the usual value stands.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from typing import Any, Self
from urllib.parse import urlencode

from pipelines.readiness.energy import weight_systems

_RANGES: Mapping[str, tuple[type[int] | type[float], float, float]] = {
    "season": (int, 1900, 2200),
    "within": (int, 1, 30),
    "mean": (float, 0.02, 1),
    "flock": (int, 1, 99_999),
    "prevalence": (int, 1, 100),
    "confidence": (int, 50, 99),
    "sensitivity": (int, 1, 100),
    "negatives": (int, 1, 9_999),
    "weight": (float, 20, 150),
    "pasture": (float, 6, 14),
    "supplement": (float, 6, 16),
    "cover": (float, 50, 5_000),
}


@dataclass(frozen=True, slots=True)
class Choices:
    """Everything that can be chosen; None is the register's flock, all systems, the reference's feed."""

    season: int | None = None
    within: int = 10  # ± points of the share thin
    mean: float = 0.2  # ± score of the mean
    flock: int | None = None  # ewes in the flock or group to be scored
    prevalence: int = 10  # % of the thin ewes
    confidence: int = 95  # %
    sensitivity: int = 90  # % of cases that the test finds
    negatives: int = 12
    weight: float = 70.0  # kg live weight, the ewe of the reference's worked examples
    system: str | None = None  # whose weight per score
    pasture: float | None = None  # MJ ME per kg of dry matter
    supplement: float | None = None  # MJ ME per kg of dry matter
    cover: float | None = None  # kg of dry matter per hectare

    @classmethod
    def from_query(cls, query: Mapping[str, Any]) -> Self:
        """Choices of a link's query, values as text, or a list of texts where a name is repeated."""
        read = {name: _number(_last(query.get(name)), *range_) for name, range_ in _RANGES.items()}
        chosen: dict[str, Any] = {name: value for name, value in read.items() if value is not None}
        system = _last(query.get("system"))
        return cls(system=system if system in weight_systems() else None, **chosen)

    def search(self) -> str:
        """The query string that opens this view again: `?within=5`, or `""` for the usual one."""
        values = {field: getattr(self, field.name) for field in fields(self)}
        kept = {field.name: value for field, value in values.items() if value != field.default}
        return f"?{urlencode(kept)}" if kept else ""


def _last(value: Any) -> str:
    last = value[-1] if isinstance(value, list) and value else value
    return last.strip() if isinstance(last, str) else ""


def _number(written: str, kind: type[int] | type[float], lowest: float, highest: float) -> int | float | None:
    try:
        number = kind(written.replace(",", "."))
    except ValueError:
        return None
    return number if lowest <= number <= highest else None
