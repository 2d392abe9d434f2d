"""From a new session of 300 ewes to its rows on a reader that is open, as the warehouse grows older.

    PYTHONPATH=. python tests/benchmarks/freshness.py [--farms 200] [--ages 1 5 10] [--rows 300]

A practice of so many farms with four sessions of identified ewes a year; then several more sessions come in,
one at a time, each timed from the call of the import until a `Reader` that was open before returns its rows.
The floor is the youngest practice: the table gives each age as a ratio to it. Target: under 2 s of wall time
on a quiet machine, and no growth with age.
"""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from import_files import cpu_seconds, register_text, session_text

from pipelines.queries import Reader, farm_sessions
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.snapshot import Snapshot

AS_OF = date(2026, 9, 20)
SESSIONS_A_YEAR = 4
TURNS = 5


def write_practice(folder: Path, farms: int, years: int, rows: int) -> None:
    """Registers, and four sessions a year of `rows` ewes who stay on their farm."""
    for year in range(AS_OF.year - years + 1, AS_OF.year + 1):
        (folder / f"register-{year}.csv").write_text(register_text(farms, year, rows))
        for turn in range(SESSIONS_A_YEAR):
            day = date(year, 7, 20) + timedelta(days=15 * turn)
            for farm in range(farms):
                (folder / f"F{farm:03}-{day}.csv").write_text(session_text(farm, day, rows))


def seconds_to_see(home: Path, folder: Path, farm: int, rows: int) -> tuple[float, float, float]:
    """Wall and processor time until a reader sees a new session, and how much of it the import took."""
    day = AS_OF - timedelta(days=1)
    path = folder / f"new-{farm}.csv"
    path.write_text(session_text(farm, day, rows))
    snapshot = Snapshot(home)
    reader = Reader(snapshot, None)
    before = len(farm_sessions(reader, f"F{farm:03}", AS_OF.year))
    cpu, start = cpu_seconds(), time.perf_counter()
    import_paths([path], Settings(home=home, as_of=AS_OF))
    imported = time.perf_counter() - start
    sessions = farm_sessions(Reader(snapshot, None), f"F{farm:03}", AS_OF.year)
    wall, cpu = time.perf_counter() - start, cpu_seconds() - cpu
    assert len(sessions) > before, "the new session is not to be seen"
    snapshot.close()
    return wall, cpu, imported


def main() -> None:
    """Build the practice at each age, add sessions, print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--farms", type=int, default=200)
    options.add_argument("--ages", type=int, nargs="+", default=[1, 5, 10])
    options.add_argument("--rows", type=int, default=300)
    chosen = options.parse_args()
    print(f"{'years':>5} {'score rows':>11} {'wall s':>7} {'ratio':>6} {'CPU s':>6} {'ratio':>6}"
          f" {'slowest':>8} {'published MiB':>14}")  # fmt: skip
    floor: tuple[float, float] | None = None
    for years in chosen.ages:
        with tempfile.TemporaryDirectory() as name:
            root = Path(name)
            (folder := root / "files").mkdir()
            write_practice(folder, chosen.farms, years, chosen.rows)
            import_paths([folder], Settings(home=root / "home", as_of=AS_OF))
            times = [
                seconds_to_see(root / "home", root, 7 * turn % chosen.farms, chosen.rows)
                for turn in range(TURNS)
            ]
            newest = max((root / "home" / "published").glob("gen-*.duckdb"), key=os.path.getmtime)
            size = newest.stat().st_size / 2**20
        wall, cpu = (statistics.median(each[part] for each in times) for part in (0, 1))
        floor = floor or (wall, cpu)
        scored = chosen.farms * years * SESSIONS_A_YEAR * chosen.rows
        print(f"{years:5} {scored:11,} {wall:7.2f} {wall / floor[0]:6.2f} {cpu:6.2f} {cpu / floor[1]:6.2f}"
              f" {max(each[0] for each in times):8.2f} {size:14.1f}", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
