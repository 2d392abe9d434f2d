"""From a new session of 300 ewes to its rows on an open dashboard, as the warehouse grows older.

    PYTHONPATH=. python tests/benchmarks/freshness.py [--farms 200] [--ages 1 5 10] [--rows 300]

A practice of so many farms with four sessions of identified ewes a year, and the real server showing it to
somebody. Then several more sessions come in, one at a time, each timed from the call of the import until a
`Reader` that was open before returns its rows, and until the last byte of the farm's page with its date on it
has come from the server. Processor time is that of both processes.
The floor is the youngest practice: the table gives each age as a ratio to it. Target: under 2 s of wall time
on a quiet machine, and no growth with age.
"""

from __future__ import annotations

import argparse
import os
import statistics
import tempfile
import time
from dataclasses import astuple, dataclass
from datetime import date, timedelta
from pathlib import Path

import psutil
from import_files import cpu_seconds, register_text, session_text
from served import Person, processor_seconds, server, unpacked

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


@dataclass(frozen=True, slots=True)
class Seen:
    """Seconds until a reader, and until somebody at the open dashboard, saw a new session; processor time."""

    reader: float
    dashboard: float
    cpu: float


@dataclass(frozen=True, slots=True)
class Dashboard:
    """The running server and somebody who has its page open."""

    process: psutil.Process
    person: Person

    def shows(self, farm: str, day: date) -> bool:
        """Whether the farm's page, asked for now, has a session of that day."""
        body, _ = self.person.click(f"/farm/{farm}", f"?season={day.year}")
        return f"{day.day} {day:%b}" in unpacked(body)


def seconds_to_see(home: Path, folder: Path, farm: int, rows: int, dashboard: Dashboard) -> Seen:
    """Import a new session and look for it."""
    day, code = AS_OF - timedelta(days=1), f"F{farm:03}"
    path = folder / f"new-{farm}.csv"
    path.write_text(session_text(farm, day, rows))
    snapshot = Snapshot(home)
    before = len(farm_sessions(Reader(snapshot, None), code, AS_OF.year))
    assert not dashboard.shows(code, day), "the day is on the page before its session"
    served, cpu, start = processor_seconds(dashboard.process), cpu_seconds(), time.perf_counter()
    import_paths([path], Settings(home=home, as_of=AS_OF))
    sessions = farm_sessions(Reader(snapshot, None), code, AS_OF.year)
    reader = time.perf_counter() - start
    assert len(sessions) > before, "the new session is not to be seen by a reader"
    assert dashboard.shows(code, day), "the new session is not to be seen on the dashboard"
    wall, cpu = time.perf_counter() - start, cpu_seconds() - cpu
    snapshot.close()
    return Seen(reader, wall, cpu + processor_seconds(dashboard.process) - served)


def measured(root: Path, farms: int, years: int, rows: int) -> tuple[list[Seen], float]:
    """Each new session, and the size of the published tables (MiB)."""
    (folder := root / "files").mkdir()
    write_practice(folder, farms, years, rows)
    import_paths([folder], Settings(home=root / "home", as_of=AS_OF))
    with server(root / "home", AS_OF.isoformat()) as (port, process):
        dashboard = Dashboard(process, Person(port))
        seen = [
            seconds_to_see(root / "home", root, 7 * turn % farms, rows, dashboard) for turn in range(TURNS)
        ]
    newest = max((root / "home" / "published").glob("gen-*.duckdb"), key=os.path.getmtime)
    return seen, newest.stat().st_size / 2**20


def main() -> None:
    """Build the practice at each age, add sessions, print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--farms", type=int, default=200)
    options.add_argument("--ages", type=int, nargs="+", default=[1, 5, 10])
    options.add_argument("--rows", type=int, default=300)
    chosen = options.parse_args()
    print(f"{'':>5} {'':>11} {'seen by a reader':>21} {'on the dashboard':>22} {'':>14} {'published':>9}")
    print(f"{'years':>5} {'score rows':>11} {'wall s':>7} {'ratio':>6} {'worst':>6} {'wall s':>8}"
          f" {'ratio':>6} {'worst':>6} {'CPU s':>7} {'ratio':>6} {'MiB':>9}")  # fmt: skip
    floor: Seen | None = None
    for years in chosen.ages:
        with tempfile.TemporaryDirectory() as name:
            times, size = measured(Path(name), chosen.farms, years, chosen.rows)
        usual = Seen(*(statistics.median(part) for part in zip(*map(astuple, times), strict=True)))
        floor = floor or usual
        scored = chosen.farms * years * SESSIONS_A_YEAR * chosen.rows
        print(f"{years:5} {scored:11,} {usual.reader:7.2f} {usual.reader / floor.reader:6.2f}"
              f" {max(each.reader for each in times):6.2f} {usual.dashboard:8.2f}"
              f" {usual.dashboard / floor.dashboard:6.2f} {max(each.dashboard for each in times):6.2f}"
              f" {usual.cpu:7.2f} {usual.cpu / floor.cpu:6.2f} {size:9.1f}", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
