"""Publication: build the marts, copy them into a file of their own, then move the pointer to it."""

from __future__ import annotations

import hashlib
import json
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import duckdb

from pipelines.models import KEYS, TABLES
from pipelines.models.build import build
from pipelines.settings import Settings
from pipelines.warehouse import journal
from pipelines.warehouse.crash import crash_point
from pipelines.warehouse.durable import flush, replace_content
from pipelines.warehouse.lock import DEFAULT_WAIT_SECONDS
from pipelines.warehouse.places import Places
from pipelines.warehouse.pointer import Pointer, current
from pipelines.warehouse.writer import Connection, Writer, open_writer, transaction

# A reader that has just read the pointer may still be about to open the generation it named.
_GENERATIONS_KEPT = 3


def publish(writer: Writer, settings: Settings) -> int:
    """Publish the warehouse as it is now, as a new generation, and return its number.

    Readers see the old generation until the pointer has moved, then the new one; never a mixture.
    """
    state = _state(writer.places, settings)
    number = _last_number(writer.places) + 1
    with transaction(writer.connection):
        build(writer.connection, settings)
    _write_generation(writer, number)
    crash_point("before_pointer")
    replace_content(writer.places.pointer, Pointer(number, state).text().encode())
    _remove_old(writer.places, number)
    return number


def publish_if_stale(writer: Writer, settings: Settings) -> int:
    """Publish unless the current generation is of this very state: same files, same settings, same day."""
    pointer = current(writer.places)
    if pointer and pointer.state == _state(writer.places, settings):
        return pointer.generation
    return publish(writer, settings)


def refresh(settings: Settings, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> bool:
    """Publish anew when the day or the settings are others than those published; says whether it did.

    Does nothing, and waits for no one, while nothing has been imported or nothing is out of date.
    """
    places = Places(settings.home)
    pointer = current(places)
    if pointer is None or pointer.state == _state(places, settings):
        return False
    with open_writer(settings.home, wait_seconds) as writer:
        return publish_if_stale(writer, settings) != pointer.generation


def _state(places: Places, settings: Settings) -> str:
    """Fingerprint of all that the published tables depend on."""
    today: date = settings.today()
    chosen = replace(settings, home=Path(), as_of=today)
    words = json.dumps([repr(chosen), journal.size(places.journal), sorted(TABLES)])
    return hashlib.sha256(words.encode()).hexdigest()


def _last_number(places: Places) -> int:
    numbers = [int(path.stem.removeprefix("gen-")) for path in places.published.glob("gen-*.duckdb")]
    pointer = current(places)
    return max([0, *numbers, pointer.generation if pointer else 0])


def _write_generation(writer: Writer, number: int) -> None:
    path = writer.places.generation(number)
    path.parent.mkdir(parents=True, exist_ok=True)
    writer.connection.execute("attach ? as generation", [str(path)])
    try:
        for index, table in enumerate(TABLES):
            if index == len(TABLES) // 2:
                crash_point("during_publish")
            _copy(writer.connection, table)
        # `about` is built before its generation has a number
        writer.connection.execute(
            "update generation.about set generation = ?, published_at = ?",
            [number, datetime.now().replace(microsecond=0)],
        )
    finally:
        writer.connection.execute("detach generation")
    flush(path)
    flush(path.parent)


def _copy(connection: Connection, table: str) -> None:
    """Copy one mart in the order of its key. All names are the models' own, never a value from outside."""
    order = ", ".join(f'"{column}" nulls first' for column in KEYS[table])
    connection.execute(
        f'create table generation."{table}" as select * from marts."{table}" order by {order}'  # noqa: S608
    )


def _remove_old(places: Places, number: int) -> None:
    for path in places.published.glob("gen-*.duckdb"):
        if int(path.stem.removeprefix("gen-")) <= number - _GENERATIONS_KEPT:
            _remove_unless_open(path)


def _remove_unless_open(path: Path) -> None:
    """Delete a generation that nobody has open: opening it for writing fails while anyone reads it."""
    try:
        duckdb.connect(str(path)).close()
    except duckdb.Error:
        return
    path.unlink()
