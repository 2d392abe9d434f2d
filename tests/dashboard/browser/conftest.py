"""The demo served on a free port, and Debian's Chromium to look at it."""

import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field
from pathlib import Path
from urllib.error import URLError

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

import demo_farms

expect.set_options(timeout=20_000)  # the machine may be busy with other tests
ROOT = Path(__file__).parents[3]
DESK, PHONE = (1440, 900), (390, 844)


@dataclass
class Seen:
    """What a page asked for and complained of."""

    complaints: list[str] = field(default_factory=list)
    hosts: set[str] = field(default_factory=set)


@pytest.fixture(scope="session")
def site(demo_home: Path) -> Iterator[str]:
    port = _free_port()
    command = ["-m", "dashboard.cli", "serve", "--home", str(demo_home), "--port", str(port)]
    server = subprocess.Popen(
        [sys.executable, *command, "--as-of", demo_farms.AS_OF.isoformat()],
        cwd=ROOT,
        stdout=subprocess.DEVNULL,
    )
    address = f"http://127.0.0.1:{port}"
    try:
        _wait_for(address)
        yield address
    finally:
        server.terminate()
        server.wait(timeout=20)


@pytest.fixture(scope="session")
def browsing(chromium: Browser) -> Iterator[Callable[..., BrowserContext]]:
    """One browser profile per width and mode for all tests: plotly's script is fetched and compiled once."""
    contexts: dict[object, BrowserContext] = {}

    def context(size: tuple[int, int], **options: str) -> BrowserContext:
        key = (size, *sorted(options.items()))
        if key not in contexts:
            viewport = {"width": size[0], "height": size[1]}
            contexts[key] = chromium.new_context(viewport=viewport, **options)
        return contexts[key]

    yield context
    for one in contexts.values():
        one.close()


@pytest.fixture
def seen() -> Seen:
    return Seen()


@pytest.fixture
def opened(browsing: Callable[..., BrowserContext], site: str, seen: Seen) -> Iterator[Callable[..., Page]]:
    """Opens an address of the site at a width and waits until its heading stands."""
    pages = []

    def open_page(path: str, size: tuple[int, int] = DESK, **options: str) -> Page:
        page = browsing(size, **options).new_page()
        pages.append(page)
        page.on("console", lambda said: seen.complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: seen.complaints.append(str(error)))
        page.on("request", lambda request: seen.hosts.add(request.url.split("/")[2]))
        page.goto(site + path)
        page.wait_for_selector("main h1")
        return page

    yield open_page
    for page in pages:
        page.close()


@pytest.fixture
def barriers() -> Callable[[Page], list[str]]:
    """What axe-core finds on a page that is serious or critical for somebody."""

    def find(page: Page) -> list[str]:
        found = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
        return [
            f"{one['id']}: {one['help']} {[node['html'][:120] for node in one['nodes'][:3]]}"
            for one in found
            if one["impact"] in ("serious", "critical")
        ]

    return find


@pytest.fixture
def passed(record_property: Callable[[str, object], None]) -> Callable[..., None]:
    """Notes a check that held, for the table of journeys at the end of the run (see tests/conftest.py)."""
    return lambda journey, size, check: record_property("journey", (journey, f"{size[0]}×{size[1]}", check))


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def _wait_for(address: str, seconds: float = 40) -> None:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        try:
            urllib.request.urlopen(address, timeout=2).close()
            return
        except (URLError, OSError):
            time.sleep(0.2)
    pytest.fail(f"nothing answers at {address}")
