"""What an import keeps in memory does not grow with the files that it has read."""

from collections.abc import Iterator
from datetime import datetime
from pathlib import Path
from typing import Self

import pytest

from pipelines.imports.context import Context
from pipelines.warehouse import intake, reading
from pipelines.warehouse.offers import Offer, context_json
from pipelines.warehouse.reading import Batch
from pipelines.warehouse.writer import Writer, make_room, open_writer

from .conftest import AS_OF, session


@pytest.fixture
def writer(home: Path) -> Iterator[Writer]:
    with open_writer(home) as writer:
        yield writer


class Counted(Batch):
    """A batch that is counted as long as anybody holds it."""

    alive = 0

    def __new__(cls, **_fields: object) -> Self:
        Counted.alive += 1
        return super().__new__(cls)

    def __del__(self) -> None:
        Counted.alive -= 1


def offers(folder: Path, number: int) -> Iterator[Offer]:
    """So many files of one session with three ewes."""
    context = Context(AS_OF)
    for at in range(number):
        path = folder / f"{at:03}.csv"
        path.write_text(session(f"F{at}", "2026-09-01", "2 2.5 3"))
        yield Offer(path.name, path, context, context_json(context), datetime(2026, 9, 20))


def test_the_rows_of_two_commits_are_never_held_together(
    writer: Writer, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(reading, "Batch", Counted)
    monkeypatch.setattr(reading, "_TASK_FILES", 1)
    monkeypatch.setattr(intake, "COMMIT_ROWS", 20 * 3)
    held: list[int] = []
    taken = intake.take_in(writer, [*offers(tmp_path, 100)], lambda _bytes: held.append(Counted.alive))
    assert [one.standing for one in taken] == ["new"] * 100
    # a commit's batches, the one that begins the next, and those that are read ahead
    assert 20 < max(held) <= 20 + 1 + reading.WORKERS * reading._AHEAD


def held_of_tables(writer: Writer) -> int:
    query = "select memory_usage_bytes from duckdb_memory() where tag = 'BASE_TABLE'"
    ((size,),) = writer.connection.execute(query).fetchall()
    return int(size)


def test_the_database_lets_go_of_what_it_has_read(writer: Writer) -> None:
    ask = "select current_setting('memory_limit')"
    limit = writer.connection.execute(ask).fetchall()
    writer.connection.execute("create table read as select random() as score from range(1000000)")
    writer.connection.execute("checkpoint")
    writer.connection.execute("select sum(score) from read").fetchall()
    assert held_of_tables(writer) > 7_000_000  # a million numbers of eight bytes that cannot be packed
    make_room(writer.connection)
    assert held_of_tables(writer) <= 4_000_000
    assert writer.connection.execute(ask).fetchall() == limit
    assert writer.connection.execute("select count(score) from read").fetchall() == [(1_000_000,)]
