"""All that decides how a client file is read, besides its bytes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date


@dataclass(frozen=True, slots=True)
class Context:
    """What the importer was told: `today`, the `--farm`, `--date` and `--group` given, the adviser's aliases.

    `headings` maps a heading as the client writes it to one of our columns, a score (`"2.5"`) or `"ignore"`.
    """

    today: date
    farm: str | None = None
    scored_on: date | None = None
    group: str | None = None
    headings: Mapping[str, str] = field(default_factory=dict)
