"""A generation built upon the one before holds, to the byte, what a generation built whole would."""

import csv
import io
import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from pipelines.models.build import Together
from pipelines.settings import Settings
from pipelines.warehouse import publish
from pipelines.warehouse.commands import reinstate_file, retag_ewe, withdraw_file
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.report import ImportReport
from pipelines.warehouse.writer import open_writer

from .conftest import AS_OF, exported, query, session

Take = Callable[..., ImportReport]
WAIT = 5.0
FARMS = ("EAST", "MOOR", "NORTH", "SOUTH", "WEST")


def noted(monkeypatch: pytest.MonkeyPatch) -> list[frozenset[str] | None]:
    """The farms that each publication will have built; `None` for all."""
    farms: list[frozenset[str] | None] = []
    build = publish.build

    def noting(
        connection: publish.Connection,
        chosen: Settings,
        some: dict[str, date | None] | None,
        together: Together,
    ) -> object:
        farms.append(None if some is None else frozenset(some))
        return build(connection, chosen, some, together)

    monkeypatch.setattr(publish, "build", noting)
    return farms


@pytest.fixture
def built(monkeypatch: pytest.MonkeyPatch) -> list[frozenset[str] | None]:
    return noted(monkeypatch)


@pytest.fixture(scope="module")
def practice_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Five farms' files in `practice`, imported into `home`. Only to be copied."""
    folder = tmp_path_factory.mktemp("once") / "practice"
    folder.mkdir()
    rows = [f"{farm},{farm.title()},hill,40,2026-07-28,2026-10-24\n" for farm in FARMS]
    (folder / "register.csv").write_text("farm,name,system,ewes,weaned_on,rams_in\n" + "".join(rows))
    for farm in FARMS:
        for month in (8, 9):
            text = session(farm, f"2026-0{month}-04", "2 2.5 2 3 1.5 2.5 3 2 2 2.5 3.5 2")
            (folder / f"{farm}-{month}.csv").write_text(text)
    with pytest.MonkeyPatch.context() as patched:
        built = noted(patched)
        import_paths([folder], Settings(home=folder.parent / "home", as_of=AS_OF))
    assert built == [None]
    return folder.parent


@pytest.fixture
def practice(practice_once: Path, settings: Settings, tmp_path: Path) -> Path:
    """Its files, which the home of this test has taken in already."""
    shutil.copytree(practice_once / "home", settings.home)
    return Path(shutil.copytree(practice_once / "practice", tmp_path / "practice"))


def assert_as_if_built_whole(settings: Settings) -> None:
    found = exported(settings.home)
    query(settings.home, "delete from built_generation")
    with open_writer(settings.home) as writer:
        publish.publish(writer, settings)
    assert exported(settings.home) == found


def add(folder: Path, name: str, text: str) -> Path:
    path = folder / name
    path.write_text(text)
    return path


def test_a_new_session_builds_its_farm_alone(
    take: Take, practice: Path, built: list[frozenset[str] | None], settings: Settings
) -> None:
    take(add(practice, "new.csv", session("MOOR", "2026-09-18", "1.5 1.5 2 2 1 2.5 2")))
    assert built == [{"MOOR"}]
    assert_as_if_built_whole(settings)


def test_a_session_of_an_unknown_farm_and_then_its_register(
    take: Take, practice: Path, built: list[frozenset[str] | None], settings: Settings
) -> None:
    take(add(practice, "fell.csv", session("FELL", "2026-09-18", "1.5 1.5 2 2")))
    assert_as_if_built_whole(settings)
    register = "farm,name,system,ewes,weaned_on,rams_in\nFELL,Fell,hill,9,2026-07-28,2026-10-24\n"
    take(add(practice, "register-2.csv", register))
    assert built[-1] == {"FELL"}
    assert_as_if_built_whole(settings)


def test_a_file_withdrawn_and_brought_back(
    practice: Path, built: list[frozenset[str] | None], settings: Settings
) -> None:
    withdraw_file(settings, "EAST-9.csv", WAIT)
    assert built[-1] == {"EAST"}
    assert_as_if_built_whole(settings)
    reinstate_file(settings, "EAST-9.csv", WAIT)
    assert_as_if_built_whole(settings)


def test_a_corrected_file_and_a_new_tag(
    take: Take, practice: Path, built: list[frozenset[str] | None], settings: Settings
) -> None:
    take(add(practice, "fixed.csv", session("EAST", "2026-09-04", "3 3 3 3")), supersede="EAST-9.csv")
    assert_as_if_built_whole(settings)
    retag_ewe(settings, "WEST", "1", "99", WAIT)
    assert built[-1] == {"WEST"}
    assert_as_if_built_whole(settings)


def test_a_copy_whose_name_sorts_first(
    take: Take, practice: Path, built: list[frozenset[str] | None], settings: Settings
) -> None:
    take(add(practice, "A.csv", (practice / "WEST-8.csv").read_text()))
    assert built[-1] == {"WEST"}
    assert_as_if_built_whole(settings)


def test_what_is_said_of_files_alone_is_said_of_those_that_changed(
    take: Take, practice: Path, built: list[frozenset[str] | None], settings: Settings
) -> None:
    take(add(practice, "letter.csv", "Dear vet,\nplease find our scores attached\n"))
    assert built[-1] == frozenset()
    assert_as_if_built_whole(settings)
    fixed = session("EAST", "2026-09-04", "3 3 3 3")
    take(add(practice, "fixed.csv", fixed), supersede="EAST-9.csv")
    take(
        add(practice, "A.csv", fixed)
    )  # of equal files the first by name counts, so EAST-9.csv now gave way to it
    assert_as_if_built_whole(settings)
    files = csv.DictReader(io.StringIO(exported(settings.home)["import_file"].decode()))
    assert {row["file"]: row["superseded_by"] for row in files}["EAST-9.csv"] == "A.csv"


def test_another_day_or_most_farms_build_everything(
    take: Take, practice: Path, built: list[frozenset[str] | None], settings: Settings
) -> None:
    text = "".join(session(farm, "2026-09-18", "2 2 3").split("\n", 1)[1] for farm in FARMS[:3])
    take(add(practice, "three.csv", "farm,scored_on,group,ewe,score\n" + text))
    assert built == [None]
    new = add(practice, "new.csv", session("MOOR", "2026-09-19", "1.5 1.5 2"))
    import_paths([new], replace(settings, as_of=date(2026, 9, 21)))
    assert built[1:] == [None]


def test_a_run_killed_after_the_pointer_moved_is_not_built_upon(
    take: Take, practice: Path, built: list[frozenset[str] | None], settings: Settings
) -> None:
    query(settings.home, "update built_generation set generation = generation - 1")
    take(add(practice, "new.csv", session("MOOR", "2026-09-18", "1.5 1.5 2 2 1 2.5 2")))
    assert built == [None]


def test_a_generation_whose_file_is_lost_is_built_whole(
    take: Take, practice: Path, built: list[frozenset[str] | None], settings: Settings
) -> None:
    (settings.home / "published" / "gen-1.duckdb").unlink()
    take(add(practice, "new.csv", session("MOOR", "2026-09-18", "1.5 1.5 2 2 1 2.5 2")))
    assert built == [None]
