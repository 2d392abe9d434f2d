"""Looking first: what an import, a replacement, a withdrawal would change, with nothing changed by it."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pipelines.settings import Settings
from pipelines.warehouse.commands import replace_file, withdraw_file
from pipelines.warehouse.errors import NotYoursError, WrongUseError
from pipelines.warehouse.importing import Given
from pipelines.warehouse.looking import look_at, look_at_held
from pipelines.warehouse.report import ImportReport

from .conftest import exported, query, session

Take = Callable[..., ImportReport]
CORRECTED = session("NORTHBARN", "2026-08-01", "3 2.5 2 3 1.5") + "NORTHBARN,2026-08-01,ewes,7,2\n"


def sha_of(home: Path, file: str) -> str:
    ((sha256,),) = query(home, f"select sha256 from source_file where file = '{file}'")
    return str(sha256)


@pytest.fixture
def known(imported: Path, settings: Settings) -> Settings:
    return settings


def test_a_look_says_what_the_import_then_does(known: Settings, take: Take, tmp_path: Path) -> None:
    text = session("SOUTHBARN", "2026-09-11", "3 9 3")
    look = look_at(known, "new.csv", text.encode(), Given())
    (tmp_path / "new.csv").write_text(text)
    (outcome,) = take(tmp_path / "new.csv").files
    parsed = look.preview.parsed
    assert (
        (parsed.rows_accepted, parsed.rows_refused) == (outcome.rows_accepted, outcome.rows_refused) == (2, 1)
    )
    assert (look.standing, look.rivals, look.farms) == ("new", (), {"SOUTHBARN"})


def test_looking_changes_nothing(known: Settings) -> None:
    before, ledger = exported(known.home, ()), query(known.home, "select * from source_file")
    look_at(known, "x.csv", CORRECTED.encode(), Given(headings={"ewe": "note"}))
    look_at_held(known, sha_of(known.home, "north-1.csv"))
    assert exported(known.home, ()) == before
    assert query(known.home, "select * from source_file") == ledger
    assert query(known.home, "select * from heading_map") == []


@pytest.mark.parametrize(("name", "same_name"), [("north-1.csv", True), ("north-again.csv", False)])
def test_a_file_of_the_same_session_finds_the_one_it_may_correct(
    known: Settings, name: str, same_name: bool
) -> None:
    (rival,) = look_at(known, name, CORRECTED.encode(), Given()).rivals
    assert (rival.file, rival.same_name, rival.sessions, rival.ewes) == ("north-1.csv", same_name, 1, 6)


def test_the_same_name_with_another_session_is_a_rival_too(known: Settings) -> None:
    text = session("NORTHBARN", "2026-08-20", "3 3")
    (rival,) = look_at(known, "north-1.csv", text.encode(), Given()).rivals
    assert (rival.same_name, rival.sessions) == (True, 0)


def test_the_difference_is_seen_before_and_is_the_same_after(
    known: Settings, take: Take, tmp_path: Path
) -> None:
    old = sha_of(known.home, "north-1.csv")
    seen = look_at(known, "better.csv", CORRECTED.encode(), Given(supersede=old)).difference
    (tmp_path / "better.csv").write_text(CORRECTED)
    done = take(tmp_path / "better.csv", supersede=old).difference
    assert seen == done
    assert seen is not None and seen.sentence() == "rows added 1, removed 1, changed 1"


def test_files_that_are_both_imported_can_be_told_apart_later(
    known: Settings, take: Take, tmp_path: Path
) -> None:
    (tmp_path / "z.csv").write_text(CORRECTED)
    take(tmp_path / "z.csv")
    old, new = (sha_of(known.home, file) for file in ("north-1.csv", "z.csv"))
    held, seen = look_at_held(known, old, new)
    assert [rival.record.partition(".")[0] for rival in held.rivals] == [new]
    assert replace_file(known, old, new, 1).difference == seen
    assert look_at_held(known, old)[0].status == "superseded"


def test_what_withdrawing_takes_away_is_told(known: Settings) -> None:
    held, _ = look_at_held(known, sha_of(known.home, "south-1.csv"))
    (falls,) = held.sessions
    assert (held.rows, falls[0], falls[1].isoformat(), falls[2]) == (6, "SOUTHBARN", "2026-09-04", 6)
    withdraw_file(known, held.sha256, 1)
    assert b"SOUTHBARN" not in exported(known.home)["score_distribution"]


def test_a_file_beyond_ones_farms_is_refused_and_not_named(known: Settings) -> None:
    mine = frozenset({"SOUTHBARN"})
    both = session("SOUTHBARN", "2026-09-11", "3") + "NORTHBARN,2026-09-11,ewes,9,x\n"
    with pytest.raises(NotYoursError, match="names NORTHBARN"):
        look_at(known, "both.csv", both.encode(), Given(only_farms=mine))
    own = session("SOUTHBARN", "2026-09-11", "3")
    assert look_at(known, "north-1.csv", own.encode(), Given(only_farms=mine)).rivals == ()
    other = Given(only_farms=mine, supersede=sha_of(known.home, "north-1.csv"))
    with pytest.raises(WrongUseError, match="among those of your farms"):
        look_at(known, "x.csv", own.encode(), other)


def test_the_import_itself_refuses_them_too(known: Settings, take: Take, tmp_path: Path) -> None:
    (tmp_path / "north.csv").write_text(session("NORTHBARN", "2026-09-11", "3 3"))
    with pytest.raises(NotYoursError):
        take(tmp_path / "north.csv", only_farms=frozenset({"SOUTHBARN"}))
    assert query(known.home, "select count(*) from source_file where file = 'north.csv'") == [(0,)]


def test_a_namesake_is_noted_on_the_command_line(known: Settings, take: Take, tmp_path: Path) -> None:
    (tmp_path / "north-1.csv").write_text(CORRECTED)
    (outcome,) = take(tmp_path / "north-1.csv").files
    assert "another file of this name" in outcome.note and "--supersede" in outcome.note
