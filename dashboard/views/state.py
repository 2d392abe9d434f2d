"""What a page shows, as its link says it: parsed from the query string and written back to it.

A link may have been typed, cut or tampered with, so whatever is not understood is left out and the page
opens with its usual view.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from datetime import date
from typing import Any, Self, cast
from urllib.parse import urlencode

from pipelines.queries.what_if import Plan
from pipelines.settings import GRAZING, STAGES, SYSTEMS, Grazing

STATUSES = ("act now", "cannot be judged", "watch", "on course", "not scored", "tupping begun")
FILE_STATUSES = ("imported", "imported_with_problems", "refused", "duplicate", "superseded", "withdrawn")
WINDOWS = ("1", "2", "any")
LONGEST = 100
ON = "on."
MOST_GROUPS = 40


@dataclass(frozen=True, slots=True)
class _State:
    """Written to a link without what is empty, so that the shortest link means the usual view."""

    def search(self, **changes: Any) -> str:
        """The query string of this view with `changes` made: `?system=hill`, or `""`."""
        written = replace(self, **changes).written()
        kept = {name: value for name, value in written.items() if value not in (None, "")}
        return f"?{urlencode(kept)}" if kept else ""

    def written(self) -> dict[str, Any]:
        """Names and values for the link; a list opens on its first page anyway."""
        return {name: value for name, value in asdict(self).items() if (name, value) != ("page", 1)}


@dataclass(frozen=True, slots=True)
class FlocksState(_State):
    """The call list's filters; `page` counts from 1."""

    season: int | None = None
    system: str | None = None
    stage: str | None = None
    status: str | None = None
    group: str | None = None
    find: str | None = None
    page: int = 1

    @classmethod
    def from_query(cls, query: Mapping[str, Any]) -> Self:
        """State of a link's query, values as dash hands them over (text, or a list when repeated)."""
        return cls(
            season=_year(query.get("season")),
            system=_one_of(query.get("system"), SYSTEMS),
            stage=_one_of(query.get("stage"), STAGES),
            status=_one_of(query.get("status"), STATUSES),
            group=_text(query.get("group")),
            find=_text(query.get("find")),
            page=_page(query.get("page")),
        )


@dataclass(frozen=True, slots=True)
class FarmState(_State):
    """Which season of a farm is open, and what is tried out there: `rams` in on another day, days of `flush`,
    `places` on best grazing, and `grazing` as (group, class); written to the link as `on.GROUP=class`."""

    season: int | None = None
    rams: date | None = None
    flush: int | None = None
    places: int | None = None
    grazing: tuple[tuple[str, Grazing], ...] = ()

    @classmethod
    def from_query(cls, query: Mapping[str, Any]) -> Self:
        """State of a link's query."""
        named = [(key.removeprefix(ON), query[key]) for key in query if key.startswith(ON)]
        known = [(group, _one_of(value, GRAZING)) for group, value in sorted(named)[:MOST_GROUPS]]
        return cls(
            season=_year(query.get("season")),
            rams=_day(query.get("rams")),
            flush=_number(query.get("flush"), 0, 60),
            places=_number(query.get("places"), 0, 99_999),
            grazing=tuple((group[:LONGEST], cast(Grazing, value)) for group, value in known if value),
        )

    def written(self) -> dict[str, Any]:
        """Names and values for the link, each group's grazing under a name of its own."""
        plain = {name: getattr(self, name) for name in ("season", "rams", "flush", "places")}
        return plain | {ON + group: value for group, value in self.grazing}

    def plan(self) -> Plan:
        """What is tried out, for the projection."""
        return Plan(self.rams, self.flush, self.places, dict(self.grazing))

    def tries(self) -> bool:
        """Whether anything is tried out."""
        return self.search(season=None) != ""


@dataclass(frozen=True, slots=True)
class CompareState(_State):
    """Which farms stand side by side; `window`: weeks either side of the middle flock, 3 unless chosen;
    `page` counts from 1."""

    season: int | None = None
    system: str | None = None
    stage: str | None = None
    breed: str | None = None
    window: str | None = None
    page: int = 1

    @classmethod
    def from_query(cls, query: Mapping[str, Any]) -> Self:
        """State of a link's query."""
        return cls(
            season=_year(query.get("season")),
            system=_one_of(query.get("system"), SYSTEMS),
            stage=_one_of(query.get("stage"), STAGES),
            breed=_text(query.get("breed")),
            window=_one_of(query.get("window"), WINDOWS),
            page=_page(query.get("page")),
        )


@dataclass(frozen=True, slots=True)
class FilesState(_State):
    """Which files are listed; `page` counts from 1."""

    status: str | None = None
    find: str | None = None
    page: int = 1

    @classmethod
    def from_query(cls, query: Mapping[str, Any]) -> Self:
        """State of a link's query."""
        return cls(
            status=_one_of(query.get("status"), FILE_STATUSES),
            find=_text(query.get("find")),
            page=_page(query.get("page")),
        )


@dataclass(frozen=True, slots=True)
class GroupState(_State):
    """Which discussion group is to be given a comparison."""

    group: str | None = None

    @classmethod
    def from_query(cls, query: Mapping[str, Any]) -> Self:
        """State of a link's query."""
        return cls(group=_text(query.get("group")))


def rows_before(page: int, found: int, rows: int) -> int:
    """Rows of a list of `found` that stand before its `page`; a page beyond the end is the last one."""
    last = max(1, -(-found // rows))
    return (min(page, last) - 1) * rows


def _text(value: Any) -> str | None:
    last = value[-1] if isinstance(value, list) and value else value
    return last.strip()[:LONGEST] or None if isinstance(last, str) else None


def _one_of(value: Any, known: tuple[str, ...]) -> str | None:
    written = _text(value)
    return written if written in known else None


def _number(value: Any, lowest: int, highest: int) -> int | None:
    written = _text(value)
    if written is None or not (written.isascii() and written.isdigit()):
        return None
    return number if lowest <= (number := int(written)) <= highest else None


def _day(value: Any) -> date | None:
    written = _text(value)
    try:
        day = date.fromisoformat(written) if written else None
    except ValueError:
        return None
    return day if day and 1900 <= day.year <= 2200 else None


def _year(value: Any) -> int | None:
    return _number(value, 1900, 2200)


def _page(value: Any) -> int:
    return _number(value, 1, 9_999) or 1
