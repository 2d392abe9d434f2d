"""Publication: build the published tables into a file of their own, then move the pointer to it."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime
from pathlib import Path

import duckdb

from pipelines.models import TABLES
from pipelines.models.build import build, can_build_upon
from pipelines.models.terms import program
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
    path = writer.places.generation(number)
    path.parent.mkdir(parents=True, exist_ok=True)
    _write_generation(writer, settings, number, path)
    flush(path)
    flush(path.parent)
    crash_point("before_pointer")
    replace_content(writer.places.pointer, Pointer(number, state, program()).text().encode())
    _note_built(writer.connection, number)
    _remove_old(writer.places, number)
    return number


def publish_if_stale(writer: Writer, settings: Settings) -> int:
    """Publish unless the current generation is of this very state: same files, same settings, same day."""
    pointer = current(writer.places)
    if pointer and pointer.state == _state(writer.places, settings):
        return pointer.generation
    return publish(writer, settings)


def is_stale(settings: Settings) -> bool:
    """Whether the day, the settings or the program are others than those published; not before an import."""
    places = Places(settings.home)
    pointer = current(places)
    return pointer is not None and pointer.state != _state(places, settings)


def serves_meanwhile(settings: Settings) -> bool:
    """Whether what is published can be read until it is published anew: this very program built it."""
    places = Places(settings.home)
    pointer = current(places)
    if pointer is None or pointer.program != program():
        return False
    return places.generation(pointer.generation).exists()


def refresh(settings: Settings, wait_seconds: float = DEFAULT_WAIT_SECONDS) -> bool:
    """Publish anew when the day, the settings or the program are others than those published; says whether
    it did.

    Does nothing, and waits for no one, while nothing has been imported or nothing is out of date.
    """
    pointer = current(Places(settings.home))
    if pointer is None or not is_stale(settings):
        return False
    with open_writer(settings.home, wait_seconds) as writer:
        return publish_if_stale(writer, settings) != pointer.generation


def _state(places: Places, settings: Settings) -> str:
    """Fingerprint of all that the published tables depend on."""
    today: date = settings.today()
    chosen = replace(settings, home=Path(), as_of=today)
    words = json.dumps([repr(chosen), journal.size(places.journal), sorted(TABLES), program()])
    return hashlib.sha256(words.encode()).hexdigest()


def _last_number(places: Places) -> int:
    numbers = [int(path.stem.removeprefix("gen-")) for path in places.published.glob("gen-*.duckdb")]
    pointer = current(places)
    return max([0, *numbers, pointer.generation if pointer else 0])


def _write_generation(writer: Writer, settings: Settings, number: int, path: Path) -> None:
    """Build the tables straight into the new file, where only some farms changed into a copy of the last."""
    farms = _changed_farms(writer)
    with _attached(writer.connection, _copied(writer.places, path) if farms is not None else path):
        if farms is None or can_build_upon(writer.connection, settings):
            _build(writer.connection, settings, number, farms)
            return
    path.unlink()
    with _attached(writer.connection, path):
        _build(writer.connection, settings, number, None)


def _build(
    connection: Connection, settings: Settings, number: int, farms: Mapping[str, date | None] | None
) -> None:
    @contextmanager
    def together() -> Iterator[None]:
        with transaction(connection):
            yield
            crash_point("during_publish")
            # `about` is built before its generation has a number
            connection.execute(
                "update marts.about set generation = ?, published_at = ?",
                [number, datetime.now().replace(microsecond=0)],
            )

    build(connection, settings, farms, together)


@contextmanager
def _attached(connection: Connection, path: Path) -> Iterator[None]:
    connection.execute("attach ? as marts", [str(path)])
    try:
        yield
    finally:
        connection.execute("detach marts")


def _changed_farms(writer: Writer) -> dict[str, date | None] | None:
    """Farms to build anew upon the current generation, each with the first day of the sessions that came in
    where nothing else of it changed; `None` when all are to be.

    All, when the warehouse is not the one which that generation was built from (it was rebuilt, or a run
    was killed just then), when its file is lost, or when most farms changed: to replace rows costs more than
    to write them.
    """
    pointer = current(writer.places)
    built = writer.connection.execute("select generation from built_generation").fetchall()
    if pointer is None or built != [(pointer.generation,)]:
        return None
    if not writer.places.generation(pointer.generation).exists():
        return None
    changed = writer.connection.execute(
        "select farm, case when count(since) = count(*) then min(since) end from changed_farm group by farm"
    ).fetchall()
    ((known,),) = writer.connection.execute("select count(distinct farm) from register_row").fetchall()
    return None if len(changed) > known / 2 else dict(changed)


def _copied(places: Places, path: Path) -> Path:
    """The current generation's file, copied to `path`: nobody changes it, whoever may be reading it."""
    pointer = current(places)
    if pointer is not None:
        shutil.copyfile(places.generation(pointer.generation), path)
    return path


def _note_built(connection: Connection, number: int) -> None:
    """After the pointer has moved; a run killed before this builds everything anew the next time."""
    with transaction(connection):
        connection.execute("delete from changed_farm")
        connection.execute("delete from changed_file")
        connection.execute("delete from built_generation")
        connection.execute("insert into built_generation values (?)", [number])


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
