"""Headings that the adviser has named, kept per farm ('' for every farm)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from pipelines.imports.context import Context
from pipelines.imports.preview import farms_named, headings_near_top, named_in
from pipelines.warehouse import journal
from pipelines.warehouse.writer import Writer, transaction

EVERY_FARM = ""


@dataclass(frozen=True, slots=True)
class Saved:
    """Every heading that was ever named: farm → heading → our column."""

    by_farm: Mapping[str, Mapping[str, str]]

    def of(self, farm: str | None) -> dict[str, str]:
        """What holds for a farm's files; the farm's own go before those of every farm."""
        own = self.by_farm.get(farm, {}) if farm else {}
        return {**self.by_farm.get(EVERY_FARM, {}), **own}

    def for_file(self, content: bytes, context: Context, named: Mapping[str, str]) -> Context:
        """`context` with the saved headings that hold for this file, and those `named` just now before them.

        Where the farm is not given, it is looked up in the farm column; with several farms in one file only
        what holds for every farm is used, since one heading cannot mean two things.
        """
        general = replace(context, headings={**context.headings, **self.of(None), **named})
        farm = context.farm or self._farm_in(content, general)
        return replace(context, headings={**context.headings, **self.of(farm), **named})

    def _farm_in(self, content: bytes, context: Context) -> str | None:
        own = {farm: named for farm, named in self.by_farm.items() if farm != EVERY_FARM}
        if not own:  # the usual case costs nothing
            return None
        near_top = headings_near_top(content)
        if not any(named_in(headings, near_top) for headings in own.values()):
            return None
        # The farm column itself may go by a name that only this farm's own headings explain.
        columns = {heading: column for named in own.values() for heading, column in named.items()
                   if column == "farm"}  # fmt: skip
        looking = replace(context, headings={**columns, **context.headings})
        farms = farms_named(content, looking)
        return next(iter(farms)) if len(farms) == 1 else None


def saved(writer: Writer) -> Saved:
    """All headings that were named so far."""
    rows = writer.connection.execute(
        'select farm, heading, "column" from heading_map order by farm, heading'
    ).fetchall()
    by_farm: dict[str, dict[str, str]] = {}
    for farm, heading, column in rows:
        by_farm.setdefault(farm, {})[heading] = column
    return Saved(by_farm)


def save(writer: Writer, farm: str | None, headings: Mapping[str, str]) -> None:
    """Remember headings for the files of a farm, or of every farm."""
    known = saved(writer).of(farm)
    for heading, column in headings.items():
        if known.get(heading) == column:
            continue
        entry = {"event": "map", "farm": farm or EVERY_FARM, "heading": heading, "column": column}
        journal.append(writer.places.journal, [entry])
        with transaction(writer.connection):
            keep(writer, entry)


def keep(writer: Writer, entry: journal.Entry) -> None:
    """Record a `map` entry of the journal; the caller holds the transaction."""
    writer.connection.execute(
        "insert or replace into heading_map values (?, ?, ?)",
        [entry["farm"], entry["heading"], entry["column"]],
    )
