"""Import of many small session files, or of one large one, as a ratio to DuckDB reading the bytes unchecked.

    PYTHONPATH=. python tests/benchmarks/import_files.py [--files 1000 2000 5000 10000] [--rows 300]
        [--large 10000000]

The floor: `insert into … select * from read_csv([…])` with a fixed schema, all the files in one statement,
into a table of its own, in the same run. Ours: everything that `tupping import` does (archive, checks,
ledger, rows), and the same with all published tables. Peak memory counts the process and its children
together, until the tables are begun and in all. The last line says how much more of it the most files take
than the second fewest (the fewest fit into one commit and one turn, so they do not show what a full one
takes).
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
from dataclasses import dataclass
from datetime import date, timedelta
from importlib import import_module
from pathlib import Path
from typing import Any

import duckdb
import psutil

from pipelines.settings import Settings

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


def sessions(number: int, farms: int) -> Iterator[tuple[int, date]]:
    """Farm and day of so many sessions: four of each farm a year, back from this year."""
    for at in range(number):
        turn = at // farms
        yield at % farms, date(AS_OF.year - turn // 4, 8, 1) + timedelta(days=15 * (turn % 4))


def write_files(folder: Path, files: int, rows: int) -> None:
    """Session files of `rows` identified ewes each, spread over the farms, and the registers."""
    write_registers(folder, files, FARMS, rows)
    for number, (farm, day) in enumerate(sessions(files, FARMS)):
        (folder / f"F{farm:03}-{day}-{number}.csv").write_text(session_text(farm, day, rows))


def write_large(folder: Path, rows: int) -> None:
    """One file with all sessions of 300 ewes, one after another, and the registers."""
    number = rows // 300
    farms = max(FARMS, number // 16)  # four years
    write_registers(folder, number, farms, 300)
    with (folder / "F-large.csv").open("w") as file:
        for at, (farm, day) in enumerate(sessions(number, farms)):
            text = session_text(farm, day, 300)
            file.write(text if at == 0 else text.split("\n", 1)[1])


def write_registers(folder: Path, number: int, farms: int, rows: int) -> None:
    """A register for each season in which there are sessions."""
    for year in {day.year for _, day in sessions(number, farms)}:
        (folder / f"register-{year}.csv").write_text(register_text(farms, year, rows))


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


def importing() -> Any:
    """What is measured; not loaded above, since every reading process loads this script anew."""
    return import_module("pipelines.warehouse.importing")


def cpu_seconds() -> float:
    """Processor time of this process and its ended children: comparable on a busy machine too."""
    return sum(os.times()[:4])


@dataclass
class Peak:
    """Highest memory (MiB) of this process and its children, and the processor time of watching it."""

    mebibytes: float = 0.0
    cpu_seconds: float = 0.0


@contextmanager
def peak_memory() -> Iterator[Peak]:
    """Watches 20 times a second while the block runs."""
    done = threading.Event()
    me, peak = psutil.Process(), Peak()

    def watch() -> None:
        while not done.wait(0.05):
            total = 0
            for process in (me, *me.children(recursive=True)):
                try:
                    total += process.memory_info().rss
                except psutil.Error:
                    continue
            peak.mebibytes = max(peak.mebibytes, total / 2**20)
        peak.cpu_seconds = time.thread_time()

    watcher = threading.Thread(target=watch)
    watcher.start()
    try:
        yield peak
    finally:
        done.set()
        watcher.join()


@contextmanager
def timed_publication(peak: Peak) -> Iterator[list[tuple[float, float, float]]]:
    """Wall and processor time of making and publishing the tables, and the peak of what came before."""
    times: list[tuple[float, float, float]] = []
    module = importing()
    publish = module.publish_if_stale

    def timed(writer: Any, settings: Settings) -> Any:
        cpu, start, before = cpu_seconds(), time.perf_counter(), peak.mebibytes
        generation = publish(writer, settings)
        times.append((time.perf_counter() - start, cpu_seconds() - cpu, before))
        return generation

    module.publish_if_stale = timed
    try:
        yield times
    finally:
        module.publish_if_stale = publish


def measure(name: str, root: Path, rows: int) -> tuple[float, float]:
    """Floor and import of the files in `root/files`: prints one line of the table, gives its peaks (MiB)."""
    importing()
    idle = cpu_seconds()
    floors = [floor_seconds(root / "files", root / f"floor-{turn}.duckdb") for turn in range(3)]
    floor, floor_cpu = min(floors), (cpu_seconds() - idle) / 3
    cpu, start = cpu_seconds(), time.perf_counter()
    with peak_memory() as peak, timed_publication(peak) as published:
        report = importing().import_paths([root / "files"], Settings(home=root / "home", as_of=AS_OF))
    wall, cpu = time.perf_counter() - start, cpu_seconds() - cpu - peak.cpu_seconds
    accepted = sum(outcome.rows_accepted for outcome in report.files if outcome.file.startswith("F"))
    assert accepted == rows, accepted
    ((tables, tables_cpu, reading),) = published
    tables_cpu -= peak.cpu_seconds * tables / wall
    print(f"{name:>22} {floor:7.2f} {floor_cpu:7.2f} {wall - tables:8.2f} {cpu - tables_cpu:7.2f}"
          f" {(cpu - tables_cpu) / floor_cpu:6.2f} {wall:8.2f} {cpu:7.2f} {cpu / floor_cpu:6.2f}"
          f" {wall / floor:7.2f} {reading:7.0f} {peak.mebibytes:6.0f}", flush=True)  # fmt: skip
    return reading, peak.mebibytes


def print_growth(peaks: dict[int, tuple[float, float]]) -> None:
    """How much more memory the most files take than the second fewest."""
    if len(peaks) > 2:
        few, many = sorted(peaks)[1], max(peaks)
        reading, everything = (most / least - 1 for least, most in zip(peaks[few], peaks[many], strict=True))
        print(
            f"from {few:,} to {many:,} files the peak grows by {reading:.0%} reading, {everything:.0%} in all"
        )


def main() -> None:
    """Generate, measure floor and import, print the table."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawTextHelpFormatter)
    options.add_argument("--files", type=int, nargs="*", default=[1000, 2000, 5000, 10000])
    options.add_argument("--rows", type=int, default=300)
    options.add_argument("--large", type=int, nargs="*", default=[], help="rows of one file")
    chosen = options.parse_args()
    print(f"{'':>22} {'floor':>15} {'import without tables':>23} {'import with all tables':>32}"
          f" {'peak MiB':>14}")  # fmt: skip
    print(f"{'':>22} {'wall s':>7} {'CPU s':>7} {'wall s':>8} {'CPU s':>7} {'ratio':>6} {'wall s':>8}"
          f" {'CPU s':>7} {'ratio':>6} {'by wall':>7} {'reading':>7} {'all':>6}")  # fmt: skip
    peaks = {}
    for files in sorted(chosen.files):
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / "files").mkdir()
            write_files(Path(folder) / "files", files, chosen.rows)
            name = f"{files:,} files of {chosen.rows}"
            peaks[files] = measure(name, Path(folder), files * chosen.rows)
    print_growth(peaks)
    for rows in chosen.large:
        with tempfile.TemporaryDirectory() as folder:
            (Path(folder) / "files").mkdir()
            write_large(Path(folder) / "files", rows)
            measure(f"one file of {rows:,}", Path(folder), rows // 300 * 300)


if __name__ == "__main__":
    main()
