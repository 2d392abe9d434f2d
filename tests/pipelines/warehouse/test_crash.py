"""Killed at any moment and run again: nothing lost, nothing doubled, and no reader notices."""

import random
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from pipelines.settings import Settings
from pipelines.warehouse.checking import check
from pipelines.warehouse.crash import CRASH_POINTS, CRASH_STATUS
from pipelines.warehouse.report import ImportReport

from .conftest import exported, query, session, write_files
from .kill import Importing, Watching, kill_sometime

Take = Callable[..., ImportReport]


def write_more(folder: Path) -> Path:
    """Files to be imported into a home that has the first ones already."""
    folder.mkdir()
    for day in range(10, 16):
        text = session("NORTHBARN", f"2026-08-{day}", "2 2.5 3 2 2.5 3.5 1.5")
        (folder / f"north-{day}.csv").write_text(text)
    return folder


@pytest.fixture
def more(tmp_path: Path) -> Path:
    return write_more(tmp_path / "more")


@pytest.fixture(scope="module")
def undisturbed(importing: Importing, tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """What the tables are when nothing goes wrong."""
    folder = tmp_path_factory.mktemp("undisturbed")
    assert importing(write_files(folder / "files"), folder / "home").wait() == 0
    assert importing(write_more(folder / "more"), folder / "home").wait() == 0
    return exported(folder / "home")


@pytest.mark.parametrize("point", CRASH_POINTS)
def test_a_crash_at_any_point_loses_and_doubles_nothing(
    importing: Importing,
    imported: Path,
    more: Path,
    undisturbed: dict[str, bytes],
    settings: Settings,
    point: str,
) -> None:
    before = exported(settings.home)
    with Watching(settings.home) as watching:
        assert importing(more, settings.home, point).wait() == CRASH_STATUS
        assert exported(settings.home) == before
        assert importing(more, settings.home).wait() == 0
    assert watching.failures == []
    assert watching.reads > 5
    assert exported(settings.home) == undisturbed
    assert query(settings.home, "select count(*) from score_row") == [(18 + 6 * 7,)]
    assert check(settings).faults == ()


@pytest.mark.parametrize("point", CRASH_POINTS)
def test_a_crash_in_the_very_first_import_is_made_good_too(
    importing: Importing, files: Path, settings: Settings, point: str
) -> None:
    assert importing(files, settings.home, point).wait() == CRASH_STATUS
    assert importing(files, settings.home).wait() == 0
    assert query(settings.home, "select count(*) from score_row") == [(18,)]
    assert check(settings).faults == ()


@pytest.mark.slow
def test_two_hundred_kills_at_random_times(
    importing: Importing, take: Take, files: Path, more: Path, settings: Settings
) -> None:
    dice, kills = random.Random(4), 0
    take(files)
    start = time.perf_counter()
    assert importing(more, settings.home).wait() == 0
    whole_run = time.perf_counter() - start
    with Watching(settings.home) as watching:
        while kills < 200:
            _one_more(more, kills)
            kills += kill_sometime(importing(more, settings.home), dice, whole_run)
        assert importing(more, settings.home).wait() == 0
    assert (watching.failures, watching.reads > 1000) == ([], True)
    faults = check(settings).faults
    doubled = query(settings.home, "select file_id, line from score_row group by all having count(*) > 1")
    assert (faults, doubled) == ((), [])
    assert {file for (file,) in query(settings.home, "select file from source_file")} >= {
        path.name for folder in (files, more) for path in folder.iterdir()
    }


def _one_more(folder: Path, number: int) -> None:
    """Something new to import in every round, so that there is something to be killed in."""
    day = f"2026-08-{number % 28 + 1:02}"
    rows = "".join(f"SOUTHBARN,{day},group {number},{score},1\n" for score in (2, 2.5, 3))
    (folder / f"extra-{number}.csv").write_text("farm,scored_on,group,score,count\n" + rows)
