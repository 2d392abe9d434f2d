"""The dashboard answers at once from the last figures while those of today are worked out beside it."""

import json
import shutil
import time
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from dashboard import upkeep
from dashboard.app import create_app
from dashboard.cli import main
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.publish import is_stale, serves_meanwhile
from tests.dashboard.access.attacks import CALLBACK, page_body

YESTERDAY, TODAY = date(2026, 9, 20), date(2026, 9, 21)
REGISTER = "farm,name,system,ewes,weaned_on,rams_in\nNB,North Barn,hill,40,2026-07-28,2026-10-24\n"
SESSION = "farm,scored_on,group,ewe,score\nNB,2026-08-01,ewes,1,2\nNB,2026-08-01,ewes,2,3\n"
NOT_YET = "being worked out"


@pytest.fixture(scope="module")
def published_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A practice's data folder, last published yesterday. Only to be copied."""
    folder = tmp_path_factory.mktemp("published")
    (folder / "register.csv").write_text(REGISTER)
    (folder / "session.csv").write_text(SESSION)
    paths = [folder / "register.csv", folder / "session.csv"]
    import_paths(paths, Settings(home=folder / "home", as_of=YESTERDAY))
    return folder / "home"


@pytest.fixture
def stale(published_once: Path, tmp_path: Path) -> Settings:
    """The settings of today, of a practice that was last published yesterday."""
    return Settings(home=Path(shutil.copytree(published_once, tmp_path / "home")), as_of=TODAY)


def shown(settings: Settings) -> tuple[str, str]:
    """The first page, and the day that `/health` says."""
    client = create_app(settings).server.test_client()
    client.get("/")
    token = client.get_cookie("_csrf_token")
    assert token
    headers = {"X-CSRFToken": token.value, "Sec-Fetch-Site": "same-origin"}
    page = client.post(CALLBACK, json=page_body("/"), headers=headers).get_data(as_text=True)
    return page, client.get("/health").get_json()["as_of"]


def until(true: Callable[[], bool]) -> bool:
    """Whether it comes true within a minute."""
    end = time.monotonic() + 60
    while not true() and time.monotonic() < end:
        time.sleep(0.1)
    return true()


def test_yesterdays_figures_are_shown_and_say_so(stale: Settings) -> None:
    page, day = shown(stale)
    assert day == "2026-09-20"
    assert NOT_YET in page and "20 Sep 2026" in page and "21 Sep 2026" in page
    assert NOT_YET not in shown(replace(stale, as_of=YESTERDAY))[0]


def test_todays_are_worked_out_beside_and_then_shown(stale: Settings) -> None:
    with upkeep.begin(stale.home, TODAY) as running:
        assert until(lambda: not is_stale(stale))
        assert running.wait(60) == 0
    page, day = shown(stale)
    assert day == "2026-09-21" and NOT_YET not in page


def test_upkeep_ends_with_the_process_that_began_it(stale: Settings) -> None:
    with upkeep.begin(stale.home, None) as running:  # would wait for the next day
        assert running.stdin
        running.stdin.close()
        assert running.wait(60) == 0


def test_serving_begins_at_once_when_only_the_day_is_another(
    stale: Settings, monkeypatch: pytest.MonkeyPatch
) -> None:
    served: list[str] = []

    def run(server: Any, address: object) -> None:
        served.append(server.test_client().get("/health").get_json()["as_of"])

    monkeypatch.setattr("dashboard.server.run", run)
    said = CliRunner().invoke(main, ["serve", "--home", str(stale.home), "--as-of", str(TODAY)])
    assert said.exit_code == 0 and "The last figures are shown" in said.output
    assert served == ["2026-09-20"]


def test_what_another_version_of_the_program_built_is_not_shown_meanwhile(stale: Settings) -> None:
    assert is_stale(stale) and serves_meanwhile(stale)
    pointer = stale.home / "published" / "current"
    pointer.write_text(json.dumps(json.loads(pointer.read_text()) | {"program": "another version"}))
    assert not serves_meanwhile(stale)
