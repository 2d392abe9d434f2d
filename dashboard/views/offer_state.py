"""What is said of an offered file before it is imported, as the page's link keeps it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from typing import Any, Self
from urllib.parse import urlencode

from pipelines.imports.parsed import REGISTER, SCORES
from pipelines.imports.score_cells import WRITTEN

MAP = "map."
BOTH = "both"
IGNORE = "ignore"
MOST_HEADINGS = 100
LONGEST = 200
_RECORD = re.compile(r"[0-9a-f]{64}(\.[0-9a-f]{12})?", re.ASCII)
_KNOWN = frozenset((*SCORES.names[1:], *REGISTER.names[1:], IGNORE, *WRITTEN))


@dataclass(frozen=True, slots=True)
class OfferState:
    """Farm, day and group given with the file; `columns`: heading as written → our column; `replaces`: the
    name of the record it corrects, or `both` when it is another file beside those like it."""

    farm: str = ""
    day: str = ""
    group: str = ""
    columns: Mapping[str, str] = field(default_factory=dict)
    replaces: str = ""

    @classmethod
    def from_query(cls, query: Mapping[str, Any]) -> Self:
        """State of a link's query; what is not understood is left out."""
        columns = {
            name.removeprefix(MAP)[:LONGEST]: _text(value)
            for name, value in list(query.items())[: MOST_HEADINGS + 4]
            if name.startswith(MAP) and _text(value) in _KNOWN
        }
        replaces = _text(query.get("replaces"))
        return cls(
            farm=_text(query.get("farm")),
            day=_text(query.get("day")),
            group=_text(query.get("group")),
            columns=columns,
            replaces=replaces if replaces == BOTH or _RECORD.fullmatch(replaces) else "",
        )

    def search(self) -> str:
        """The query string of this state."""
        parts = {"farm": self.farm, "day": self.day, "group": self.group, "replaces": self.replaces}
        parts |= {MAP + heading: column for heading, column in self.columns.items()}
        kept = {name: value for name, value in parts.items() if value}
        return f"?{urlencode(kept)}" if kept else ""

    @property
    def scored_on(self) -> date | None:
        """The day, where it is written so that it can only be one."""
        for form in ("%Y-%m-%d", "%d/%m/%Y"):
            try:
                return datetime.strptime(self.day, form).date()
            except ValueError:
                continue
        return None


def _text(value: Any) -> str:
    last = value[-1] if isinstance(value, list) and value else value
    return last.strip()[:LONGEST] if isinstance(last, str) else ""
