"""A corrected file replaces, a wrong one is withdrawn, a ewe gets a new tag; history stays."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pipelines.settings import Settings
from pipelines.warehouse.commands import reinstate_file, retag_ewe, withdraw_file
from pipelines.warehouse.difference import compare
from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.report import ImportReport

from .conftest import exported, query, session

Take = Callable[..., ImportReport]


@pytest.fixture
def corrected(tmp_path: Path) -> Path:
    """north-1 with ewe 1 at 3 instead of 2, ewe 6 gone, and a ewe 7."""
    path = tmp_path / "north-1-corrected.csv"
    text = session("NORTHBARN", "2026-08-01", "3 2.5 2 3 1.5")
    path.write_text(text + "NORTHBARN,2026-08-01,ewes,7,2\n")
    return path


def statuses(home: Path) -> dict[object, object]:
    return dict(query(home, "select file, status from source_file"))


def test_a_corrected_file_replaces_and_shows_the_difference(
    take: Take, imported: Path, corrected: Path, home: Path
) -> None:
    difference = take(corrected, supersede="north-1.csv").difference
    assert difference is not None
    assert [row["ewe"] for row in difference.added] == ["7"]
    assert [row["ewe"] for row in difference.removed] == ["6"]
    assert [change.values for change in difference.changed] == [{"score": (2.0, 3.0)}]
    assert statuses(home)["north-1.csv"] == "superseded"
    assert b"north-1.csv" in exported(home)["import_file"]


def test_replacing_counts_the_new_rows_only(
    take: Take, imported: Path, corrected: Path, home: Path, tmp_path: Path
) -> None:
    take(corrected, supersede="north-1.csv")
    rows = exported(home)["session_summary"].decode().splitlines()
    (whole,) = [row for row in rows if row.startswith("NORTHBARN,2026,2026-08-01,weaning,ALL")]
    assert whole.split(",")[5] == "6"  # ewes 1 to 5 and 7


def test_replacing_twice_is_replacing_once(take: Take, imported: Path, corrected: Path, home: Path) -> None:
    first = take(corrected, supersede="north-1.csv")
    before = exported(home)
    assert take(corrected, supersede="north-1.csv").difference == first.difference
    assert exported(home) == before


def test_a_corrected_file_may_have_the_same_name(
    take: Take, imported: Path, home: Path, tmp_path: Path
) -> None:
    again = tmp_path / "again"
    again.mkdir()
    (again / "south-1.csv").write_text(session("SOUTHBARN", "2026-09-04", "3 3 3"))
    take(again / "south-1.csv", supersede="south-1.csv")
    ledger = query(home, "select status from source_file where file = 'south-1.csv' order by file_id")
    assert ledger == [("superseded",), ("imported",)]


def test_a_refused_file_replaces_nothing(take: Take, imported: Path, home: Path, tmp_path: Path) -> None:
    (tmp_path / "empty.csv").write_text("")
    report = take(tmp_path / "empty.csv", supersede="north-1.csv")
    assert report.something_refused()
    assert statuses(home)["north-1.csv"] == "imported"


@pytest.mark.parametrize("wanted", ["nobody.csv", "0123456789abcdef"])
def test_an_unknown_file_cannot_be_replaced(take: Take, imported: Path, corrected: Path, wanted: str) -> None:
    with pytest.raises(WrongUseError, match=wanted):
        take(corrected, supersede=wanted)


def test_a_register_does_not_replace_scores(take: Take, imported: Path, tmp_path: Path) -> None:
    text = (imported / "register.csv").read_text().replace("40", "44")
    (tmp_path / "register-2.csv").write_text(text)
    with pytest.raises(WrongUseError, match="cannot replace"):
        take(tmp_path / "register-2.csv", supersede="north-1.csv")


def test_withdrawing_and_undoing_gives_the_same_tables(imported: Path, settings: Settings) -> None:
    before = exported(settings.home)
    withdraw_file(settings, "south-1.csv", 1)
    without = exported(settings.home)
    assert b"SOUTHBARN" not in without["session_summary"]
    assert b"south-1.csv" in without["import_file"]
    reinstate_file(settings, "south-1.csv", 1)
    assert exported(settings.home) == before


def test_a_withdrawn_file_does_not_come_back_by_importing_its_folder(
    take: Take, imported: Path, settings: Settings
) -> None:
    withdraw_file(settings, "south-1.csv", 1)
    report = take(imported)
    (outcome,) = [outcome for outcome in report.files if outcome.file == "south-1.csv"]
    assert outcome.status == "withdrawn"
    assert "--undo" in outcome.note
    assert statuses(settings.home)["south-1.csv"] == "withdrawn"


def test_withdrawing_takes_the_copies_with_it(
    take: Take, files: Path, settings: Settings, tmp_path: Path
) -> None:
    (files / "copy-of-south.csv").write_text((files / "south-1.csv").read_text())
    take(files)
    done = withdraw_file(settings, "copy-of-south.csv", 1)
    assert done.copies == ("south-1.csv",)
    assert b"SOUTHBARN" not in exported(settings.home)["session_summary"]


def test_a_file_is_also_found_by_its_checksum(imported: Path, settings: Settings) -> None:
    ((sha256,),) = query(settings.home, "select sha256 from source_file where file = 'north-2.csv'")
    assert withdraw_file(settings, str(sha256)[:12], 1).file == "north-2.csv"


def test_a_retagged_ewe_keeps_one_history(imported: Path, settings: Settings) -> None:
    retag_ewe(settings, "NORTHBARN", "3", "77", 1)
    history = exported(settings.home)["ewe_history"].decode()
    assert history.count("NORTHBARN,2026,77,") == 2  # scored on 1 August and 5 September
    assert "NORTHBARN,2026,3," not in history


def test_recording_a_retag_twice_is_recording_it_once(imported: Path, settings: Settings) -> None:
    assert retag_ewe(settings, "NORTHBARN", "3", "77", 1).recorded
    assert not retag_ewe(settings, "NORTHBARN", "3", "77", 1).recorded


def test_retags_that_contradict_are_refused(imported: Path, settings: Settings) -> None:
    retag_ewe(settings, "NORTHBARN", "3", "77", 1)
    for old, new in (("3", "78"), ("77", "3"), ("5", "5"), ("8.26E+14", "9")):
        with pytest.raises(WrongUseError):
            retag_ewe(settings, "NORTHBARN", old, new, 1)


def test_rows_of_a_tally_are_told_apart_by_score() -> None:
    def row(score: float, count: int) -> dict[str, object]:
        return {
            "line": 2,
            "farm": "N",
            "scored_on": 1,
            "group": "g",
            "ewe": None,
            "score": score,
            "count": count,
        }

    difference = compare([row(2.5, 10), row(3, 4)], [row(2.5, 12), row(3.5, 4)])
    assert [change.values for change in difference.changed] == [{"count": (10, 12)}]
    assert difference.sentence() == "rows added 1, removed 1, changed 1"
