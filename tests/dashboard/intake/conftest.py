"""The invented practice of the access tests, fresh for each test, and browsers signed in as each role."""

import io
import json
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from dashboard.app import create_app
from dashboard.guard.doors import Doors
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths
from tests.dashboard.access.practice import ACCOUNTS, AS_OF, Visitor, furnish

SESSION = "northfold-hoggs.csv"
Enter = Callable[[str], Visitor]


@pytest.fixture(scope="session")
def furnished(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The practice's data folder, beside the files it was made of. Only to be copied."""
    home = furnish(tmp_path_factory.mktemp("furnished") / "practice")
    path = home.parent / SESSION
    ewes = "".join(f"NORTHFOLD,2026-08-22,Hoggs,{ewe},{2 if ewe % 3 else 1.5}\n" for ewe in range(1, 41))
    path.write_text(f"farm,scored_on,group,ewe,score\n{ewes}")
    import_paths([path], Settings(home, as_of=AS_OF))
    return home


@pytest.fixture
def home(furnished: Path, tmp_path: Path) -> Path:
    """A copy of this test's own."""
    shutil.copytree(furnished.parent, tmp_path, dirs_exist_ok=True)
    return tmp_path / "practice"


@pytest.fixture
def enter(home: Path) -> Enter:
    """Somebody of a role, signed in."""
    app = create_app(Settings(home, as_of=AS_OF), Doors(home, others=True))

    def signed_in(role: str) -> Visitor:
        visitor = Visitor(app.server.test_client())
        assert visitor.sign_in(ACCOUNTS[role].name).status_code == 303
        visitor.get("/")
        return visitor

    return signed_in


def bring(visitor: Visitor, name: str, text: str, address: str = "/intake/offer", **form: str) -> Any:
    """The answer to sending one file."""
    files = {"file": (io.BytesIO(text.encode()), name)}
    return visitor.post(address, data=files | form, content_type="multipart/form-data")


def seen(visitor: Visitor, at: str) -> Any:
    """What the page at an address shows, as text."""
    path, _, search = at.partition("?")
    body = {
        "output": ".._pages_content.children..._pages_store.data..",
        "outputs": [
            {"id": "_pages_content", "property": "children"},
            {"id": "_pages_store", "property": "data"},
        ],
        "inputs": [
            {"id": "_pages_location", "property": "pathname", "value": path},
            {"id": "_pages_location", "property": "search", "value": f"?{search}" if search else ""},
        ],
        "changedPropIds": [],
    }  # fmt: skip
    told = json.dumps(visitor.post("/_dash-update-component", json=body).get_json(), ensure_ascii=False)
    return told.replace("\u00a0", " ")


def state_of(page: str) -> str:
    """The state of the tables that a page's button confirms."""
    return page.split('"data-with-seen": "')[1].split('"')[0]
