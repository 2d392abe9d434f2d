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
from playwright.sync_api import Browser, Page, sync_playwright

import demo_farms

ROOT = Path(__file__).parents[3]
CHROMIUM = Path("/usr/bin/chromium")
FLAGS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
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
def chromium() -> Iterator[Browser]:
    if not CHROMIUM.exists():
        pytest.skip(f"{CHROMIUM} is missing")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=str(CHROMIUM), args=FLAGS)
        yield browser
        browser.close()


@pytest.fixture
def seen() -> Seen:
    return Seen()


@pytest.fixture
def opened(chromium: Browser, site: str, seen: Seen) -> Iterator[Callable[..., Page]]:
    """Opens an address of the site at a width and waits until its heading stands."""
    contexts = []

    def open_page(path: str, size: tuple[int, int] = DESK, **options: str) -> Page:
        context = chromium.new_context(viewport={"width": size[0], "height": size[1]}, **options)
        contexts.append(context)
        page = context.new_page()
        page.on("console", lambda said: seen.complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: seen.complaints.append(str(error)))
        page.on("request", lambda request: seen.hosts.add(request.url.split("/")[2]))
        page.goto(site + path)
        page.wait_for_selector("main h1")
        return page

    yield open_page
    for context in contexts:
        context.close()


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
