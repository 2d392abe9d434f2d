"""From a new session of 300 ewes to its day on an open page, as the warehouse grows older.

    PYTHONPATH=. python tests/benchmarks/freshness.py [--farms 200] [--ages 1 5 10] [--rows 300]

A practice of so many farms with four sessions of identified ewes a year, and the real server showing it in
Chromium. Then several more sessions come in, one at a time, each timed from the call of the import until a
`Reader` that was open before returns its rows, and until its day stands on the farm's page, which was open
before and which nobody touches. Processor time is that of the import and the server.
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
from playwright.sync_api import Page, sync_playwright
from served import CHROMIUM, FLAGS, processor_seconds, server

from pipelines.queries import Reader, farm_sessions
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.snapshot import Snapshot

AS_OF = date(2026, 9, 20)
SESSIONS_A_YEAR = 4
TURNS = 5
# When the words first stand on the page, as the browser's own clock tells it.
LOOK_OUT = """(words) => {
  window.stands = new Promise((resolve) => {
    const look = () => document.querySelector("main").textContent.includes(words) && resolve(Date.now());
    new MutationObserver(look).observe(document.documentElement, { childList: true, subtree: true });
  });
}"""


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
    """Seconds until a reader, and until somebody at an open page, saw a new session; processor time."""

    reader: float
    page: float
    cpu: float


@dataclass(frozen=True, slots=True)
class Dashboard:
    """The running server, and a browser's page of it."""

    port: int
    process: psutil.Process
    page: Page

    def opens(self, farm: str, day: date) -> None:
        """Open the farm's page, on which that day does not stand yet, and look out for it."""
        address = f"http://127.0.0.1:{self.port}/farm/{farm}?season={day.year}"
        with self.page.expect_response("**/health"):  # from here on the page knows what it shows
            self.page.goto(address)
        self.page.wait_for_selector("main h1")
        self.page.wait_for_selector(".js-plotly-plot .main-svg")
        assert words(day) not in self.page.inner_text("main"), "the day is on the page before its session"
        self.page.evaluate(LOOK_OUT, words(day))


def words(day: date) -> str:
    """The day as a page has it."""
    return f"{day.day} {day:%b}"


def seconds_to_see(home: Path, folder: Path, farm: int, rows: int, dashboard: Dashboard) -> Seen:
    """Import a new session and look for it."""
    day, code = AS_OF - timedelta(days=1), f"F{farm:03}"
    path = folder / f"new-{farm}.csv"
    path.write_text(session_text(farm, day, rows))
    snapshot = Snapshot(home)
    before = len(farm_sessions(Reader(snapshot, None), code, AS_OF.year))
    dashboard.opens(code, day)
    served, cpu = processor_seconds(dashboard.process), cpu_seconds()
    begun, start = time.time(), time.perf_counter()
    import_paths([path], Settings(home=home, as_of=AS_OF))
    sessions = farm_sessions(Reader(snapshot, None), code, AS_OF.year)
    reader = time.perf_counter() - start
    assert len(sessions) > before, "the new session is not to be seen by a reader"
    stood = dashboard.page.evaluate("window.stands") / 1_000 - begun
    cpu = cpu_seconds() - cpu
    snapshot.close()
    return Seen(reader, stood, cpu + processor_seconds(dashboard.process) - served)


def measured(root: Path, farms: int, years: int, rows: int) -> tuple[list[Seen], float]:
    """Each new session, and the size of the published tables (MiB)."""
    (folder := root / "files").mkdir()
    write_practice(folder, farms, years, rows)
    import_paths([folder], Settings(home=root / "home", as_of=AS_OF))
    with server(root / "home", AS_OF.isoformat()) as (port, process), sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        dashboard = Dashboard(port, process, browser.new_page())
        seen = [
            seconds_to_see(root / "home", root, 7 * turn % farms, rows, dashboard) for turn in range(TURNS)
        ]
        browser.close()
    newest = max((root / "home" / "published").glob("gen-*.duckdb"), key=os.path.getmtime)
    return seen, newest.stat().st_size / 2**20


def main() -> None:
    """Build the practice at each age, add sessions, print the table."""
    options = argparse.ArgumentParser(description=__doc__)
    options.add_argument("--farms", type=int, default=200)
    options.add_argument("--ages", type=int, nargs="+", default=[1, 5, 10])
    options.add_argument("--rows", type=int, default=300)
    chosen = options.parse_args()
    print(f"{'':>5} {'':>11} {'seen by a reader':>21} {'on an open page':>22} {'':>14} {'published':>9}")
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
              f" {max(each.reader for each in times):6.2f} {usual.page:8.2f}"
              f" {usual.page / floor.page:6.2f} {max(each.page for each in times):6.2f}"
              f" {usual.cpu:7.2f} {usual.cpu / floor.cpu:6.2f} {size:9.1f}", flush=True)  # fmt: skip


if __name__ == "__main__":
    main()
