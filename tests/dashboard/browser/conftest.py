"""The demo served on a free port, and Debian's Chromium to look at it."""

import os
import shutil
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.error import URLError

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

import demo_farms
from dashboard.accounts import store
from dashboard.accounts.account import Account

from ..access.practice import PASSWORD

expect.set_options(timeout=20_000)  # the machine may be busy with other tests
ROOT = Path(__file__).parents[3]
DESK, PHONE = (1440, 900), (390, 844)


@dataclass
class Seen:
    """What a page asked for and complained of."""

    complaints: list[str] = field(default_factory=list)
    hosts: set[str] = field(default_factory=set)


@contextmanager
def served(*words: str, folder: Path = ROOT, home: Path | None = None) -> Iterator[str]:
    """The address of `tupping serve WORDS`, run in `folder` by somebody whose own files are in `home`."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = str(probe.getsockname()[1])
    theirs = {"HOME": str(home), "XDG_DATA_HOME": str(home)} if home else {}
    command = [sys.executable, "-m", "dashboard.cli", "serve", "--port", port, *words]
    surroundings = {**os.environ, "PYTHONPATH": str(ROOT), **theirs}
    server = subprocess.Popen(command, cwd=folder, env=surroundings, stdout=subprocess.DEVNULL)
    try:
        _wait_for(f"http://127.0.0.1:{port}")
        yield f"http://127.0.0.1:{port}"
    finally:
        server.terminate()
        server.wait(timeout=20)


@pytest.fixture(scope="session")
def site(demo_home: Path) -> Iterator[str]:
    """The demo, open to this machine's own user."""
    with served("--home", str(demo_home), "--as-of", demo_farms.AS_OF.isoformat()) as address:
        yield address


@pytest.fixture(scope="session")
def guarded_site(demo_home: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The demo with accounts: a practice, and a member of the group Marl Vale."""
    home = tmp_path_factory.mktemp("guarded") / "home"
    shutil.copytree(demo_home, home)
    store.add(home, Account("morag", "practice"), PASSWORD)
    store.add(home, Account("isla", "member", groups=frozenset({"Marl Vale"})), PASSWORD)
    with served("--home", str(home), "--as-of", demo_farms.AS_OF.isoformat()) as address:
        yield address


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
    """Opens an address of the site, or of another `at`, at a width and waits until its heading stands."""
    pages = []

    def open_page(path: str, size: tuple[int, int] = DESK, at: str = "", **options: str) -> Page:
        page = browsing(size, **options).new_page()
        pages.append(page)
        page.on("console", lambda said: seen.complaints.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: seen.complaints.append(str(error)))
        page.on("request", lambda request: seen.hosts.add(request.url.split("/")[2]))
        page.goto((at or site) + path)
        page.wait_for_selector("main h1")
        return page

    yield open_page
    for page in pages:
        page.close()


@pytest.fixture
def signed_in(opened: Callable[..., Page], guarded_site: str) -> Callable[..., Page]:
    """Signs somebody in at a width, and gives the page they are led to."""

    def enter(name: str, size: tuple[int, int]) -> Page:
        page = opened("/sign-in", size, at=guarded_site)
        page.fill("input[name=name]", name)
        page.fill("input[name=password]", PASSWORD)
        page.keyboard.press("Enter")
        page.wait_for_url(lambda address: "/sign-in" not in address)
        page.wait_for_selector("main h1")
        return page

    return enter


@pytest.fixture
def barriers() -> Callable[[Page], list[str]]:
    """What axe-core finds on a page, be it ever so minor."""

    def find(page: Page) -> list[str]:
        found = Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]
        return [
            f"{one['id']}: {one['help']} {[node['html'][:120] for node in one['nodes'][:3]]}" for one in found
        ]

    return find


@pytest.fixture
def passed(record_property: Callable[[str, object], None]) -> Callable[..., None]:
    """Notes a check that held, for the table of journeys at the end of the run (see tests/conftest.py)."""
    return lambda journey, size, check: record_property("journey", (journey, f"{size[0]}×{size[1]}", check))


def _wait_for(address: str, seconds: float = 120) -> None:
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        try:
            urllib.request.urlopen(address, timeout=2).close()
            return
        except (URLError, OSError):
            time.sleep(0.2)
    pytest.fail(f"nothing answers at {address}")
