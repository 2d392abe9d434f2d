"""The real server on a free port, people who click through its pages, and their times, for the benchmarks."""

from __future__ import annotations

import gzip
import http.client
import json
import random
import socket
import subprocess
import sys
import threading
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.error import URLError

import psutil

ROOT = Path(__file__).parents[2]
ANSWER = "/_dash-update-component"
CHROMIUM = "/usr/bin/chromium"
FLAGS = ["--no-sandbox", "--disable-gpu", "--disable-background-networking", "--disable-sync"]


@dataclass(slots=True)
class Times:
    """Seconds of each answered click by page, and what went wrong."""

    taken: dict[str, list[float]] = field(default_factory=dict)
    failed: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)

    def note(self, page: str, seconds: float) -> None:
        """Keep one answer's time."""
        with self.lock:
            self.taken.setdefault(page, []).append(seconds)


@contextmanager
def server(home: Path, as_of: str) -> Iterator[tuple[int, psutil.Process]]:
    """`tupping serve` as a practice runs it: its port and its process."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = int(probe.getsockname()[1])
    command = [sys.executable, "-m", "dashboard.cli", "serve", "--home", str(home), "--port", str(port)]
    with subprocess.Popen([*command, "--as-of", as_of], cwd=ROOT, stdout=subprocess.DEVNULL) as running:
        try:
            _await(port)
            yield port, psutil.Process(running.pid)
        finally:
            running.terminate()


def _await(port: int) -> None:
    until = time.monotonic() + 1_800  # a practice kept from an earlier version is published anew first
    while time.monotonic() < until:
        try:
            urllib.request.urlopen(f"http://127.0.0.1:{port}/health", timeout=5).close()
            return
        except (URLError, OSError):
            time.sleep(0.1)
    raise TimeoutError("the server does not answer")


class Person:
    """One browser tab: keeps its connection and its cookies, and asks for pages as dash does."""

    def __init__(self, port: int) -> None:
        self._connection = http.client.HTTPConnection("127.0.0.1", port, timeout=60)
        answer = self._ask("GET", "/")
        cookies = [value.split(";")[0] for name, value in answer.getheaders() if name == "Set-Cookie"]
        token = next((part.split("=", 1)[1] for part in cookies if part.startswith("_csrf_token")), "")
        answer.read()
        self._headers = {
            "Cookie": "; ".join(cookies),
            "X-CSRFToken": token,
            "Origin": f"http://127.0.0.1:{port}",
            "Content-Type": "application/json",
            "Accept-Encoding": "gzip",
        }

    def click(self, path: str, search: str = "") -> tuple[bytes, float]:
        """The data of a page as it travels, and the seconds it took. Raises `OSError` when refused."""
        asked = {
            "output": ".._pages_content.children..._pages_store.data..",
            "outputs": [
                {"id": "_pages_content", "property": "children"},
                {"id": "_pages_store", "property": "data"},
            ],
            "inputs": [
                {"id": "_pages_location", "property": "pathname", "value": path},
                {"id": "_pages_location", "property": "search", "value": search},
            ],
            "changedPropIds": ["_pages_location.pathname"],
            "state": [],
        }
        start = time.perf_counter()
        answer = self._ask("POST", ANSWER, json.dumps(asked), self._headers)
        body = answer.read()
        seconds = time.perf_counter() - start
        if answer.status != 200:
            raise OSError(f"{path}{search}: {answer.status} {body[:200]!r}")
        return body, seconds

    def _ask(
        self, method: str, path: str, body: str | None = None, headers: dict[str, str] | None = None
    ) -> http.client.HTTPResponse:
        self._connection.request(method, path, body, headers or {})
        return self._connection.getresponse()


def unpacked(body: bytes) -> str:
    """What an answer says."""
    return (gzip.decompress(body) if body[:2] == b"\x1f\x8b" else body).decode()


def clicking(port: int, people: int, clicks: int, pause: float, choose: object) -> Times:
    """`people` at once, each making `clicks` clicks `pause` seconds apart (give or take half).

    `choose(dice)` gives the page's name, path and query of the next click.
    """
    times = Times()

    def one(number: int) -> None:
        dice = random.Random(number)
        try:
            person = Person(port)
            for _ in range(clicks):
                time.sleep(pause * dice.uniform(0.5, 1.5))
                page, path, search = choose(dice)  # type: ignore[operator]
                times.note(page, person.click(path, search)[1])
        except (OSError, http.client.HTTPException) as error:
            times.failed.append(repr(error))

    threads = [threading.Thread(target=one, args=(number,)) for number in range(people)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return times


class Memory(threading.Thread):
    """Highest `memory` of a process, looked at ten times a second."""

    def __init__(self, process: psutil.Process) -> None:
        super().__init__(daemon=True)
        self._process, self._done, self.peak = process, threading.Event(), 0.0

    def run(self) -> None:
        while not self._done.wait(0.1):
            self.peak = max(self.peak, memory(self._process))

    def stop(self) -> float:
        """The peak."""
        self._done.set()
        self.join()
        return self.peak


def processor_seconds(process: psutil.Process) -> float:
    """Processor time of a process and its children so far: the same however busy the machine is."""
    found = (one.cpu_times() for one in (process, *process.children(recursive=True)))
    return sum(times.user + times.system for times in found)


def memory(process: psutil.Process) -> float:
    """Memory of a process and its children now (proportional set size, MiB)."""
    total = 0
    for one in (process, *process.children(recursive=True)):
        try:
            total += one.memory_full_info().pss
        except psutil.Error:
            continue
    return total / 2**20
