"""Killed within a large file and run again: nothing lost, nothing doubled, nothing left lying."""

import os
import random
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

import psutil
import pytest

from pipelines.settings import Settings
from pipelines.warehouse.checking import check
from pipelines.warehouse.crash import CRASH_STATUS
from pipelines.warehouse.report import ImportReport

from .conftest import exported, query
from .kill import LARGE_ONES, Importing, Watching, kill_sometime
from .large_file import ROWS, text, write_registers

Take = Callable[..., ImportReport]


@pytest.fixture
def registers(tmp_path: Path) -> Path:
    folder = tmp_path / "registers"
    folder.mkdir()
    write_registers(folder)
    return folder


@pytest.fixture
def large(tmp_path: Path) -> Path:
    folder = tmp_path / "large"
    folder.mkdir()
    (folder / "all.csv").write_text(text())
    return folder


def doubled(home: Path) -> list[tuple[object, ...]]:
    return query(home, "select file_id, line from score_row group by all having count(*) > 1")


def session_files(home: Path) -> list[tuple[object, ...]]:
    return query(home, "select count(*) from source_file where kind = 'scores'")


@pytest.mark.parametrize("point", ["after_archive", "during_insert", "before_commit"])
def test_a_kill_within_a_large_file_loses_and_doubles_nothing(
    importing: Importing,
    take: Take,
    imported: Path,
    registers: Path,
    large: Path,
    settings: Settings,
    point: str,
) -> None:
    take(registers)
    before = exported(settings.home)
    with Watching(settings.home) as watching:
        assert importing(large, settings.home, point, LARGE_ONES).wait() == CRASH_STATUS
        assert exported(settings.home) == before
        assert query(settings.home, "select count(*), count(distinct file_id) from score_row") == [(18, 3)]
        assert importing(large, settings.home, before=LARGE_ONES).wait() == 0
    assert (watching.failures, watching.reads > 5) == ([], True)
    assert query(settings.home, "select count(*) from score_row") == [(18 + ROWS - 1,)]
    assert (doubled(settings.home), check(settings).faults) == ([], ())
    assert [*settings.home.rglob("*.tmp")] == []


@pytest.mark.slow
def test_thirty_kills_at_random_times_within_large_files(
    importing: Importing, take: Take, files: Path, registers: Path, large: Path, settings: Settings
) -> None:
    dice, kills, files_done = random.Random(4), 0, 1
    take(files, registers)
    start = time.perf_counter()
    assert importing(large, settings.home, before=LARGE_ONES).wait() == 0
    whole_run = time.perf_counter() - start
    with Watching(settings.home) as watching:
        while kills < 30:
            if session_files(settings.home) == [(3 + files_done,)]:  # there must be something to be killed in
                files_done += 1
                (large / "all.csv").write_text(text(flock=files_done))
            kills += kill_sometime(importing(large, settings.home, before=LARGE_ONES), dice, whole_run)
        assert importing(large, settings.home, before=LARGE_ONES).wait() == 0
    assert (watching.failures, watching.reads > 1000) == ([], True)
    assert query(settings.home, "select count(*) from score_row") == [(18 + files_done * (ROWS - 1),)]
    assert (doubled(settings.home), check(settings).faults) == ([], ())
    assert [*settings.home.rglob("*.tmp")] == []


_WAITING = """
import os, time
from pipelines.warehouse import elsewhere
if __name__ == "__main__":
    elsewhere.WORTH_STARTING_SECONDS = 0
    with elsewhere.Elsewhere(1) as run:
        print(run(os.getpid), flush=True)
        time.sleep(60)
"""


def test_the_processes_of_a_killed_import_end_with_it(tmp_path: Path) -> None:
    (tmp_path / "waiting.py").write_text(_WAITING)
    command = [sys.executable, str(tmp_path / "waiting.py")]
    environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
    with subprocess.Popen(command, stdout=subprocess.PIPE, env=environment) as parent:
        assert parent.stdout is not None
        helper = psutil.Process(int(parent.stdout.readline()))
        assert helper.ppid() == parent.pid
        parent.kill()
    assert psutil.wait_procs([helper], timeout=30)[1] == []


def test_what_a_killed_run_had_put_out_of_memory_is_removed(
    take: Take, files: Path, settings: Settings
) -> None:
    spilled = settings.home / "warehouse.duckdb.tmp" / "duckdb_temp_storage_DEFAULT-0.tmp"
    spilled.parent.mkdir(parents=True)
    spilled.write_bytes(b"left over")
    take(files)
    assert not spilled.parent.exists()
