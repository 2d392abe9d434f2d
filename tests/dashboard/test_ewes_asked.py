"""No page asks the database for more as a farm has more tagged ewes."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

import demo_farms
from dashboard import data
from dashboard.app import create_app
from dashboard.views.state import CompareState, FarmState, FilesState, FlocksState
from pipelines.queries import Reader
from pipelines.settings import Settings
from pipelines.warehouse.snapshot import Snapshot

BY_EWE = ("ewe_history", "ewe_action", "scorer_pair")
PAGES: dict[str, Callable[[Reader], object]] = {
    "flocks": lambda reader: data.flocks(reader, FlocksState()),
    "farm": lambda reader: data.farm(reader, "WEXN13", FarmState()),
    "compare": lambda reader: data.compare(reader, CompareState()),
    "files": lambda reader: data.files(reader, FilesState()),
}


class Watched(Reader):
    """Remembers each question."""

    def __init__(self, snapshot: Snapshot) -> None:
        super().__init__(snapshot)
        self.asked: list[str] = []

    def frame(self, query, values=None):  # type: ignore[no-untyped-def]
        self.asked.append(query)
        return super().frame(query, values)

    def rows(self, query, values=None):  # type: ignore[no-untyped-def]
        self.asked.append(query)
        return super().rows(query, values)


@pytest.fixture
def watched(demo_home: Path) -> Iterator[Watched]:
    snapshot = Snapshot(demo_home)
    with create_app(Settings(demo_home, demo_farms.AS_OF)).server.app_context():
        yield Watched(snapshot)
    snapshot.close()


@pytest.mark.parametrize("page", PAGES)
def test_rows_of_single_ewes_are_asked_for_up_to_a_number_or_not_at_all(page: str, watched: Watched) -> None:
    assert PAGES[page](watched) is not None
    of_ewes = [query for query in watched.asked if any(table in query for table in BY_EWE)]
    # pairs of scores are of the few ewes that two people scored on one day, to compare the two
    unlimited = [query for query in of_ewes if "limit $rows" not in query and "scorer_pair" not in query]
    assert watched.asked and not unlimited
    assert bool(of_ewes) == (page in ("farm", "compare"))
