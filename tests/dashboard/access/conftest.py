"""The invented practice served, and browsers signed in as each role."""

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest
from dash import Dash

from dashboard.accounts import store
from dashboard.app import create_app
from dashboard.guard.doors import Doors
from pipelines.settings import Settings
from tests.dashboard.access.practice import ACCOUNTS, AS_OF, PASSWORD, Visitor, furnish


@pytest.fixture(scope="session")
def home(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The practice's data folder, with an account of each role."""
    return furnish(tmp_path_factory.mktemp("practice"))


@pytest.fixture(scope="session")
def app(home: Path) -> Dash:
    return create_app(Settings(home, as_of=AS_OF), Doors(home, others=True))


@pytest.fixture
def visitor(app: Dash) -> Visitor:
    """Somebody who has not signed in."""
    return Visitor(app.server.test_client())


@pytest.fixture
def signed_in(app: Dash) -> Callable[[str], Visitor]:
    """Somebody of a role, signed in."""

    def enter(role: str) -> Visitor:
        entered = Visitor(app.server.test_client())
        assert entered.sign_in(ACCOUNTS[role].name).status_code == 303
        entered.get("/")
        return entered

    return enter


@pytest.fixture
def new_home(tmp_path: Path) -> Path:
    """A data folder of this test's own, with a practice account and nothing imported."""
    store.add(tmp_path, ACCOUNTS["practice"], PASSWORD)
    return tmp_path


@pytest.fixture
def new_visitor(new_home: Path) -> Visitor:
    """Somebody not signed in before the server of `new_home`."""
    return Visitor(create_app(Settings(new_home), Doors(new_home, others=True)).server.test_client())


@pytest.fixture
def audit(new_home: Path) -> Callable[[], Iterator[dict[str, str]]]:
    """The lines of the audit record of `new_home`."""

    def lines() -> Iterator[dict[str, str]]:
        path = new_home / "audit.jsonl"
        return (json.loads(line) for line in path.read_text().splitlines()) if path.exists() else iter(())

    return lines
