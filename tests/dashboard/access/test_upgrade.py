"""A data folder that an older version of the program left behind, served by this one."""

import json
import shutil
from pathlib import Path
from typing import Any

import duckdb
import pytest
from click.testing import CliRunner

from dashboard.accounts import secret, store
from dashboard.cli import main
from tests.dashboard.access.attacks import CALLBACK, page_body
from tests.dashboard.access.practice import AS_OF, Visitor

OF_AN_OLDER = {"state": "of an older version", "program": "an older version"}


@pytest.fixture
def older(home: Path, tmp_path: Path) -> Path:
    """A copy of the practice whose published tables lack one that readers of some farms need."""
    older = tmp_path / "older"
    shutil.copytree(home, older)
    with duckdb.connect(str(older / "published" / "gen-1.duckdb")) as connection:
        connection.execute("drop table scorer_pair; drop table built_with")
    pointer = older / "published" / "current"
    pointer.write_text(json.dumps(json.loads(pointer.read_text()) | OF_AN_OLDER))
    return older


def test_serving_publishes_anew_and_keeps_accounts_and_sessions(
    older: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    served: list[Any] = []
    monkeypatch.setattr("dashboard.server.run", lambda server, address: served.append(server))
    key = secret.load(older)
    said = CliRunner().invoke(main, ["serve", "--home", str(older), "--as-of", AS_OF.isoformat()])
    assert said.exit_code == 0 and "Every figure worked out anew" in said.output
    adviser = Visitor(served[0].test_client())
    assert adviser.sign_in("rhys").status_code == 303
    adviser.get("/")
    assert "Upper Northfold" in adviser.post(CALLBACK, json=page_body("/")).text
    assert adviser.get("/health").json["generation"] == 2
    assert secret.load(older) == key and len(store.every(older)) == 3
