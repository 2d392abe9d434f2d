"""Import of many small session files, as a ratio to DuckDB reading the same bytes without any check.

    python tests/benchmarks/import_files.py [--files 5000] [--rows 300]

The floor: `insert into … select * from read_csv([…])` with a fixed schema, all the files in one statement,
into a table of its own, in the same run. Ours: everything that `tupping import` does (archive, checks,
ledger, rows, all published tables). Peak memory counts the process and its children together.
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from pathlib import Path

import duckdb
import psutil

from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths

AS_OF = date(2026, 9, 20)
FARMS = 200
USUAL = (1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5)  # scores; no ewe leaves 1 to 5


def session_text(farm: int, day: date, rows: int) -> str:
    """A session of `rows` identified ewes. Each keeps near her own condition: she moves by half a score."""
    dice = random.Random(f"{farm} {day}")
    lines = ["farm,scored_on,group,ewe,score"]
    usual = random.Random(farm).choices(USUAL, (4, 12, 25, 30, 18, 8, 3), k=rows)
    moved = dice.choices((-0.5, 0.0, 0.5), (1, 3, 1), k=rows)
    for row, (score, change) in enumerate(zip(usual, moved, strict=True), 1):
        group = "ewes" if row % 3 else "shearlings"
        lines.append(f"F{farm:03},{day},{group},826012{farm:04}{row:05},{score + change:.1f}")
    return "\n".join(lines) + "\n"


def register_text(farms: int, year: int, rows: int) -> str:
    """A register of all farms for one season."""
    systems = ("hill", "upland", "lowland")
    lines = ["farm,name,system,ewes,weaned_on,rams_in"]
    lines += [
        f"F{farm:03},Farm {farm},{systems[farm % 3]},{rows + 20},{year}-07-28,{year}-10-24"
        for farm in range(farms)
    ]
    return "\n".join(lines) + "\n"


def write_files(folder: Path, files: int, rows: int) -> None:
    """Session files of `rows` identified ewes each, spread over the farms, and the registers."""
    for number in range(files):
        farm, session = number % FARMS, number // FARMS
        day = date(2026 - session // 4, 8, 1) + timedelta(days=15 * (session % 4))
        (folder / f"F{farm:03}-{day}-{number}.csv").write_text(session_text(farm, day, rows))
    for year in range(2026 - files // FARMS // 4, 2027):
        (folder / f"register-{year}.csv").write_text(register_text(FARMS, year, rows))


def floor_seconds(folder: Path, database: Path) -> float:
    """DuckDB reading every session file with a fixed schema and no checks."""
    start = time.perf_counter()
    connection = duckdb.connect(str(database))
    connection.execute(
        "create table t (farm varchar, scored_on date, grp varchar, ewe varchar, score double)"
    )
    connection.execute(
        """
        insert into t select * from read_csv(?, auto_detect = false, header = true, delim = ',', columns = {
            'farm': 'varchar', 'scored_on': 'date', 'grp': 'varchar', 'ewe': 'varchar', 'score': 'double'})
        """,
        [str(folder / "F*.csv")],
    )
    connection.close()
    return time.perf_counter() - start


def cpu_seconds() -> float:
    """Processor time of this process and its ended children: comparable on a busy machine too."""
    return sum(os.times()[:4])


@contextmanager
def peak_memory(found: list[float]) -> Iterator[None]:
    """Highest proportional memory (MiB) of this process and its children, sampled 20 times a second."""
    done = threading.Event()
    me = psutil.Process()

    def watch() -> None:
        highest = 0.0
        while not done.wait(0.05):
            total = 0
            for process in (me, *me.children(recursive=True)):
                try:
                    total += process.memory_info().rss
                except psutil.Error:
                    continue
            highest = max(highest, total / 2**20)
        found.append(highest)

    watcher = threading.Thread(target=watch)
    watcher.start()
    try:
        yield
    finally:
        done.set()
        watcher.join()


def main() -> None:
    """Generate, measure floor and import, print the ratio."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--files", type=int, default=5000)
    options.add_argument("--rows", type=int, default=300)
    chosen = options.parse_args()
    with tempfile.TemporaryDirectory() as name:
        root = Path(name)
        (folder := root / "files").mkdir()
        write_files(folder, chosen.files, chosen.rows)
        idle = cpu_seconds()
        floors = [floor_seconds(folder, root / f"floor-{turn}.duckdb") for turn in range(3)]
        floor_cpu = (cpu_seconds() - idle) / 3
        memory: list[float] = []
        before, start = cpu_seconds(), time.perf_counter()
        with peak_memory(memory):
            report = import_paths([folder], Settings(home=root / "home", as_of=AS_OF))
        seconds, cpu = time.perf_counter() - start, cpu_seconds() - before
    accepted = sum(outcome.rows_accepted for outcome in report.files if outcome.file.startswith("F"))
    assert accepted == chosen.files * chosen.rows, accepted
    floor = min(floors)
    print(f"{chosen.files} files of {chosen.rows} rows: floor {floor:.2f} s, import {seconds:.2f} s")
    print(f"processor time: floor {floor_cpu:.2f} s, import {cpu:.2f} s, ratio {cpu / floor_cpu:.2f}")
    print(f"ratio {seconds / floor:.2f}, peak memory {memory[0]:.0f} MiB (with children)")


if __name__ == "__main__":
    main()
