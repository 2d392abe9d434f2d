"""Headings that the adviser has named, kept per farm ('' for every farm)."""

from __future__ import annotations

from collections.abc import Mapping

from pipelines.warehouse import journal
from pipelines.warehouse.writer import Writer, transaction

EVERY_FARM = ""


def saved(writer: Writer, farm: str | None) -> dict[str, str]:
    """Headings → our columns for a farm's files; the farm's own go before those of every farm."""
    rows = writer.connection.execute(
        """select heading, "column" from heading_map where farm in (?, ?) order by farm""",
        [EVERY_FARM, farm or EVERY_FARM],
    ).fetchall()
    return dict(rows)


def save(writer: Writer, farm: str | None, headings: Mapping[str, str]) -> None:
    """Remember headings for the files of a farm, or of every farm."""
    known = saved(writer, farm)
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
