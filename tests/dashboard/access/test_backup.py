"""A practice brought back on a fresh machine: the same people sign in and see the same."""

import json
import shutil
import stat
import sys
from pathlib import Path

import duckdb
import pytest

from dashboard.accounts import store
from dashboard.app import create_app
from dashboard.guard.doors import Doors
from pipelines.settings import Settings
from pipelines.warehouse.backups import backup, restore
from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.places import Places

from .practice import AS_OF, OWN, Visitor

RELEASE = "0123456789abcdef"


@pytest.fixture(scope="module")
def furnished(home: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the practice that has also released something and recorded who did what."""
    copy = tmp_path_factory.mktemp("to-back-up") / "home"
    shutil.copytree(home, copy, ignore=shutil.ignore_patterns("secret.key"))
    places = Places(copy)
    places.releases.mkdir(exist_ok=True)
    places.released(RELEASE).write_bytes(b"what a member is shown")
    entry = {"release": RELEASE, "group": "Ravens", "season": 2026, "classes": {"NORTHFOLD": 0}}
    places.release_ledger.write_text(json.dumps([entry]))
    places.audit.write_text('{"event": "release"}\n')
    return copy


@pytest.fixture(scope="module")
def packed(furnished: Path) -> Path:
    tar = furnished.parent / "practice.tar"
    backup(furnished, tar)
    return tar


@pytest.fixture(scope="module")
def restored(packed: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    new = tmp_path_factory.mktemp("fresh") / "machine" / "home"
    restore(packed, Settings(new, as_of=AS_OF))
    return new


def published(home: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every published row of what farms have scored, by table; what is said of the day of import left out."""
    generation = json.loads((home / "published" / "current").read_text())["generation"]
    with duckdb.connect() as connection:
        # attached, since a server of this process may hold the file open with settings of its own
        connection.execute("attach $1 as practice (read_only)", [str(Places(home).generation(generation))])
        connection.execute("use practice")
        names = (
            "farm_season",
            "session_summary",
            "score_distribution",
            "readiness",
            "ewe_history",
            "call_list",
        )
        return {name: connection.execute(f"select * from {name} order by all").fetchall() for name in names}


def test_the_same_people_sign_in_and_see_their_own(restored: Path) -> None:
    app = create_app(Settings(restored, as_of=AS_OF), Doors(restored, others=True))
    visitor, guesser = (Visitor(app.server.test_client()) for _ in range(2))
    assert visitor.sign_in("rhys").status_code == 303
    assert OWN[0].name in visitor.get("/save/call-list.csv").text
    assert visitor.get("/save/ewes/EASTHOLM.csv").status_code == 404
    assert guesser.sign_in("rhys", "not the password at all").status_code == 401


def test_accounts_with_farms_and_groups_are_equal(furnished: Path, restored: Path) -> None:
    assert store.every(restored) == store.every(furnished)
    assert [store.find(restored, name) for name in ("morag", "isla")] == [
        store.find(furnished, name) for name in ("morag", "isla")
    ]


def test_tables_are_equal(furnished: Path, restored: Path) -> None:
    assert published(restored) == published(furnished)
    assert published(restored)["session_summary"] and published(restored)["ewe_history"]


def test_releases_and_the_record_come_back(furnished: Path, restored: Path) -> None:
    for path in (
        Places(furnished).released(RELEASE),
        Places(furnished).release_ledger,
        Places(furnished).audit,
    ):
        assert (restored / path.relative_to(furnished)).read_bytes().startswith(path.read_bytes())


def test_the_key_of_sessions_stays_behind(furnished: Path, tmp_path: Path) -> None:
    (furnished / "secret.key").write_bytes(b"k" * 32)
    backup(furnished, tmp_path / "practice.tar")
    assert b"k" * 32 not in (tmp_path / "practice.tar").read_bytes()


@pytest.mark.skipif(sys.platform == "win32", reason="Windows has no such modes")
def test_nobody_else_can_read_the_backup_or_what_it_brings_back(packed: Path, restored: Path) -> None:
    assert stat.S_IMODE(packed.stat().st_mode) == 0o600
    assert stat.S_IMODE(restored.stat().st_mode) == 0o700
    assert stat.S_IMODE(restored.parent.stat().st_mode) == 0o700
    places = Places(restored)
    for path in (
        places.accounts,
        places.released(RELEASE),
        places.release_ledger,
        places.audit,
        places.journal,
    ):
        assert stat.S_IMODE(path.stat().st_mode) == 0o600


def test_a_folder_with_accounts_is_not_overwritten(packed: Path, new_home: Path) -> None:
    with pytest.raises(WrongUseError, match="holds data already"):
        restore(packed, Settings(new_home, as_of=AS_OF))
