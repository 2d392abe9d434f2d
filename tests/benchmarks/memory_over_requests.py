"""Memory of the served dashboard over 10,000 requests, as a ratio to itself after the first 2,000.

`python tests/benchmarks/memory_over_requests.py [REQUESTS]` loads the demo farms into a folder of its own,
serves them as `tupping serve` does, and asks for pages, tables and the state of health from four clients.
The floor is what the processes hold once caches, connections and threads are there.
"""

from __future__ import annotations

import http.cookiejar
import itertools
import json
import socket
import subprocess
import sys
import tempfile
import time
import urllib.request
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import psutil

sys.path.insert(0, str(Path(__file__).parents[2]))

from demo_farms import AS_OF
from tests.dashboard.access.attacks import CALLBACK, page_body

CLIENTS = 4
STEPS = 10
WARM = 2  # steps after which memory is to stay as it is
PAGES = ("/", "/compare", "/files", "/farm/WEXN13", "/farm/BRIN04", "/farm/OSMR05")
TABLES = ("/save/call-list.csv", "/save/ewes/WEXN13.csv", "/save/funnel.csv", "/health", "/bootstrap.min.css")


class Client:
    """A browser without a screen."""

    def __init__(self, address: str) -> None:
        self._address = address
        self._cookies = http.cookiejar.CookieJar()
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(self._cookies))
        self._ask("/")

    def work(self, questions: int) -> None:
        """Ask pages, tables and health in turn; every answer must be a good one."""
        for address in itertools.islice(itertools.cycle((*PAGES, *TABLES)), questions):
            if address in PAGES:
                self._ask(CALLBACK, json.dumps(page_body(address)).encode())
            else:
                self._ask(address)

    def _ask(self, path: str, body: bytes | None = None) -> None:
        request = urllib.request.Request(self._address + path, data=body)
        if body:
            token = next(cookie.value for cookie in self._cookies if cookie.name == "_csrf_token")
            request.add_header("X-CSRFToken", token or "")
            request.add_header("Sec-Fetch-Site", "same-origin")
            request.add_header("Content-Type", "application/json")
        with self._opener.open(request, timeout=60) as answer:
            assert answer.status == 200 and answer.read()


def memory(process: psutil.Process) -> float:
    """What the serving processes hold of their own, in MiB (memory they share is counted once)."""
    return sum(each.memory_full_info().pss for each in [process, *process.children()]) / 2**20


def serving(home: Path) -> Iterator[tuple[str, psutil.Process]]:
    """The demo served on a free port."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    tupping = [sys.executable, "-m", "dashboard.cli"]
    subprocess.run([*tupping, "demo", "--no-serve", "--home", str(home)], check=True, capture_output=True)
    serve = ["serve", "--home", str(home), "--port", str(port), "--as-of", AS_OF.isoformat()]
    server = subprocess.Popen([*tupping, *serve], stdout=subprocess.DEVNULL)
    try:
        yield f"http://127.0.0.1:{port}", psutil.Process(server.pid)
    finally:
        server.terminate()
        server.wait(timeout=30)


def clients_of(address: str) -> list[Client]:
    """Clients of a server, as soon as it answers."""
    for _ in range(200):
        try:
            return [Client(address) for _ in range(CLIENTS)]
        except OSError:
            time.sleep(0.2)
    raise SystemExit(f"nothing answers at {address}")


def main(requests: int) -> None:
    """Print memory after each tenth of the requests, and the last as a ratio to the floor."""
    with tempfile.TemporaryDirectory() as folder:
        for address, process in serving(Path(folder) / "demo"):
            clients = clients_of(address)
            held = [memory(process)]
            print(f"{0:6} requests  {held[0]:6.1f} MiB")
            for step in range(1, STEPS + 1):
                with ThreadPoolExecutor(CLIENTS) as pool:
                    list(pool.map(lambda client: client.work(requests // STEPS // CLIENTS), clients))
                held.append(memory(process))
                print(f"{step * requests // STEPS:6} requests  {held[-1]:6.1f} MiB", flush=True)
            print(f"peak {max(held):.1f} MiB; last to floor {held[-1] / held[WARM]:.3f}")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 10_000)
