"""How quickly each page is answered, as the practice grows, with ten people clicking.

    python tests/benchmarks/pages.py [--farms 1 100 2000] [--clicks 30] [--pause 2.0]

A practice of each size (ten seasons of four sessions) is generated and served by the real server. Ten people
open pages at random: the call list and its filters, farms, comparisons, files. Answered means the last byte
of the page's data. The floor, measured in the same run, is an answer of the server that needs no data
(`/health`). Promised: median 100 ms, 95 % within 250 ms, at 2,000 farms; the first page besides plotly under
400 kB compressed; nothing that grows with the number of ewes.
"""

from __future__ import annotations

import argparse
import random
import re
import statistics
import tempfile
import time
import urllib.request
from collections.abc import Callable
from pathlib import Path

from playwright.sync_api import sync_playwright
from practice import AS_OF, LARGE, LAST, SMALL, SYSTEMS, write_practice
from served import CHROMIUM, FLAGS, Memory, Person, Times, clicking, processor_seconds, server, unpacked

PEOPLE = 10
LONGEST_BAR = 70
PAGES = ("flocks", "farm", "compare", "files")
# ends when the first row of the call list can be read, not when the frame or a spinner shows
PAINTED = """
() => new Promise(done => {
    const look = () => requestAnimationFrame(
        () => document.querySelector('.call') ? done(performance.now()) : look());
    look();
})
"""


def chooser(farms: int) -> Callable[[random.Random], tuple[str, str, str]]:
    """What people click on: half of it farms, as after a look at the call list."""

    def choose(dice: random.Random) -> tuple[str, str, str]:
        season = LAST - dice.choice([0, 0, 0, 1, 2])
        page = dice.choice(["flocks", "flocks", "farm", "farm", "farm", "farm", "compare", "files"])
        if page == "flocks":
            extra = dice.choice(
                ["", "&system=hill", "&status=act+now", f"&page={1 + farms // 100}", "&find=7"]
            )
            return page, "/", f"?season={season}{extra}"
        if page == "farm":
            return page, f"/farm/F{dice.randrange(farms):04}", f"?season={season}"
        if page == "compare":
            return page, "/compare", f"?season={season}&system={dice.choice(SYSTEMS)}"
        return page, "/files", dice.choice(["", f"?page={1 + farms // 20}", "?status=imported_with_problems"])

    return choose


def floor(port: int) -> float:
    """Median seconds of an answer that needs no page."""
    taken = []
    for _ in range(20):
        start = time.perf_counter()
        urllib.request.urlopen(f"http://127.0.0.1:{port}/health").read()
        taken.append(time.perf_counter() - start)
    return statistics.median(taken)


def quantiles(times: list[float]) -> tuple[float, float]:
    """Median and 95th percentile in milliseconds."""
    ordered = sorted(times)
    return statistics.median(ordered) * 1e3, ordered[max(0, round(len(ordered) * 0.95) - 1)] * 1e3


def by_ewes(port: int) -> dict[str, tuple[int, float, int]]:
    """Of a farm with 90 and one with 900 tagged ewes: ewes, median ms of 15 turns, bytes."""
    person, found = Person(port), {}
    taken: dict[str, list[float]] = {code: [] for code, _ in (SMALL, LARGE)}
    for turn in range(15):  # one after the other, so that what else the machine does falls on both
        for code, ewes in (SMALL, LARGE):
            body, seconds = person.click(f"/farm/{code}", f"?turn={turn}")  # a link not kept from before
            taken[code].append(seconds)
            found[code] = (ewes, statistics.median(taken[code]) * 1e3, len(unpacked(body)))
    return found


def first_page_bytes(port: int) -> int:
    """Compressed bytes that a browser fetches before any picture, besides plotly."""

    def fetched(path: str) -> bytes:
        request = urllib.request.Request(
            f"http://127.0.0.1:{port}{path}", headers={"Accept-Encoding": "gzip"}
        )
        with urllib.request.urlopen(request) as answer:
            return bytes(answer.read())

    page = fetched("/")
    parts = set(re.findall(r'(?:src|href)="(/[^"]+)"', unpacked(page)))
    data, _ = Person(port).click("/")
    return len(page) + len(data) + sum(len(fetched(part)) for part in parts if "plotly" not in part)


def painted(port: int) -> tuple[float, float, float]:
    """Milliseconds to the first paint and to a readable call list, with an empty cache; the latter again
    with a full one. Medians of 5."""
    first, readable, again = [], [], []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=FLAGS)
        for _ in range(5):
            context = browser.new_context(viewport={"width": 390, "height": 844})
            page = context.new_page()
            page.goto(f"http://127.0.0.1:{port}/", wait_until="commit")
            readable.append(page.evaluate(PAINTED))
            first.append(page.evaluate("performance.getEntriesByName('first-contentful-paint')[0].startTime"))
            page.goto(f"http://127.0.0.1:{port}/", wait_until="commit")
            again.append(page.evaluate(PAINTED))
            context.close()
        browser.close()
    return statistics.median(first), statistics.median(readable), statistics.median(again)


def picture(medians: dict[int, Times]) -> str:
    """Median and 95th percentile against size, one bar a line; `▕` marks what is promised."""
    lines = [
        "",
        "cost against size: ■ median, ─ to the 95th percentile, one mark 5 ms, ▕ the median promised",
    ]
    for page in PAGES:
        for farms, times in medians.items():
            middle, slow = quantiles(times.taken[page])
            bar = ("■" * max(1, round(middle / 5))).ljust(round(slow / 5), "─")
            bar = bar if len(bar) <= LONGEST_BAR else bar[: LONGEST_BAR - 1] + "…"
            promised = bar[:20].ljust(20) + "▕" + bar[20:]
            lines.append(f"{page:8} {farms:5,} farms {promised}  {middle:.0f} / {slow:.0f} ms")
    return "\n".join(lines)


def measure(home: Path, farms: int, clicks: int, pause: float) -> Times:
    """Serve the practice, click, print."""
    with server(home, AS_OF.isoformat()) as (port, process):
        least = floor(port)
        memory = Memory(process)
        memory.start()
        before = processor_seconds(process)
        times = clicking(port, PEOPLE, clicks, pause, chooser(farms))
        spent, peak = processor_seconds(process) - before, memory.stop()
        ewes = by_ewes(port)
        size, paints = first_page_bytes(port), painted(port)
    answers = sum(map(len, times.taken.values()))
    print(f"\n{farms:,} farms: floor {least * 1e3:.1f} ms, server's peak memory {peak:.0f} MiB")
    print(
        f"  {answers} answers, {len(times.failed)} failed; processor {spent / answers * 1e3:.0f} ms an answer"
    )
    for page in PAGES:
        middle, slow = quantiles(times.taken[page])
        ratio, number = middle / least / 1e3, len(times.taken[page])
        print(f"  {page:8} p50 {middle:5.0f} ms  p95 {slow:5.0f} ms  {ratio:4.1f} × floor  n {number}")
    every = [seconds for page in times.taken.values() for seconds in page]
    print("  all      p50 {:5.0f} ms  p95 {:5.0f} ms".format(*quantiles(every)))
    print(
        "  "
        + "; ".join(
            f"{number} ewes {ms:.0f} ms, {length / 1e3:.0f} kB" for number, ms, length in ewes.values()
        )
    )
    print(f"  first page besides plotly {size / 1e3:.0f} kB compressed")
    print("  first paint {:.0f} ms, call list readable {:.0f} ms, again {:.0f} ms".format(*paints))
    return times


def main() -> None:
    """Generate, serve and click at each size, then draw."""
    options = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter
    )
    options.add_argument("--farms", type=int, nargs="+", default=[1, 100, 2000])
    options.add_argument("--clicks", type=int, default=30, help="of each of the ten people")
    options.add_argument("--pause", type=float, default=2.0, help="seconds between a person's clicks")
    options.add_argument("--keep", type=Path, help="folder that keeps the practices for the next run")
    chosen = options.parse_args()
    medians = {}
    with tempfile.TemporaryDirectory() as name:
        for farms in chosen.farms:
            home = (chosen.keep or Path(name)) / f"p{farms}"
            if not home.exists():
                write_practice(home, farms)
            medians[farms] = measure(home, farms, chosen.clicks, chosen.pause)
    print(picture(medians))


if __name__ == "__main__":
    main()
