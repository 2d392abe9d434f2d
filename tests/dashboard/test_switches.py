"""Pages are answered while one publication after another takes the place of the last.

1,000 switches under ten readers of the real server are in tests/benchmarks/switches.py.
"""

import shutil
import threading
from pathlib import Path

import pytest

import demo_farms
from dashboard import data
from dashboard.app import create_app
from dashboard.views.state import FarmState, FlocksState
from pipelines.queries import Kept, Reader
from pipelines.settings import Settings
from pipelines.warehouse.durable import replace_content
from pipelines.warehouse.places import Places
from pipelines.warehouse.pointer import Pointer, current
from pipelines.warehouse.snapshot import Snapshot


def switch(places: Places) -> None:
    """The current tables published again, and the last but two removed, as an import leaves them."""
    now = current(places)
    assert now is not None
    shutil.copyfile(places.generation(now.generation), places.generation(now.generation + 1))
    replace_content(places.pointer, Pointer(now.generation + 1, now.state).text().encode())
    places.generation(now.generation - 2).unlink(missing_ok=True)


@pytest.fixture
def places(demo_home: Path, tmp_path: Path) -> Places:
    places = Places(tmp_path)
    shutil.copytree(Places(demo_home).published, places.published)
    return places


def test_readers_never_fail_while_generations_change(places: Places) -> None:
    snapshot, done, failed, answered = Snapshot(places.home), threading.Event(), [], [0]
    kept = Kept(snapshot)

    def read() -> None:
        while not done.is_set():
            try:
                assert data.flocks(Reader(snapshot), FlocksState()) is not None
                mine = Reader(snapshot, {"WEXN13"}, kept)
                assert data.farm(mine, "WEXN13", FarmState()) is not None
                assert data.farm(mine, "BRIN04", FarmState()) is None
                mine.close()
                answered[0] += 1
            except Exception as error:  # whatever it is, a reader has met it
                failed.append(error)

    readers = [threading.Thread(target=read) for _ in range(3)]
    for reader in readers:
        reader.start()
    for _ in range(25):
        switch(places)
    done.set()
    for reader in readers:
        reader.join()
    assert failed == []
    assert answered[0] > 0


def test_one_answer_comes_from_one_publication(places: Places) -> None:
    reader = Reader(Snapshot(places.home))
    with reader.cursor() as first:
        before = first.execute("select current_database()").fetchall()
    switch(places)
    with reader.cursor() as second:
        assert second.execute("select current_database()").fetchall() == before
    reader.close()
    with reader.cursor() as third:
        assert third.execute("select current_database()").fetchall() != before


def test_the_reader_of_a_request_is_let_go_with_it(places: Places) -> None:
    server = create_app(Settings(places.home, demo_farms.AS_OF)).server
    with server.test_request_context():
        server.preprocess_request()
        reader = data.reader()
        assert data.reader() is reader
        data.flocks(reader, FlocksState())
    assert reader._cursor is None
