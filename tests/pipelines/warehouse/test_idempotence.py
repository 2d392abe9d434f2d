"""The same files give the same tables, however often and in whatever order they come."""

import random
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from demo_farms import AS_OF as DEMO_DAY
from demo_farms import FILES as DEMO
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths
from pipelines.warehouse.report import ImportReport

from .conftest import exported, query, session

Take = Callable[..., ImportReport]


def test_importing_twice_changes_nothing(take: Take, imported: Path, home: Path) -> None:
    before, rows = exported(home, without=()), query(home, "select count(*) from score_row")
    report = take(imported)
    assert exported(home, without=()) == before
    assert query(home, "select count(*) from score_row") == rows == [(18,)]  # 3 files of 6 ewes
    assert {outcome.standing for outcome in report.files} == {"unchanged"}


def test_any_order_gives_the_same_bytes(tmp_path: Path) -> None:
    paths = sorted(path for path in DEMO.rglob("*.csv"))
    random.Random(7).shuffle(paths)
    one, other = tmp_path / "one", tmp_path / "other"
    import_paths([DEMO], Settings(home=one, as_of=DEMO_DAY))
    for part in (paths[:60], paths[60:61], paths[61:]):
        import_paths(part, Settings(home=other, as_of=DEMO_DAY))
    assert exported(other) == exported(one)


@pytest.mark.parametrize("first", ["a.csv", "b.csv"])
def test_of_equal_contents_the_first_name_counts(take: Take, tmp_path: Path, home: Path, first: str) -> None:
    for name in ("a.csv", "b.csv"):
        (tmp_path / name).write_text(session("NORTHBARN", "2026-08-01", "2 3"))
    second = {"a.csv": "b.csv", "b.csv": "a.csv"}[first]
    take(tmp_path / first)
    take(tmp_path / second)
    ledger = query(home, "select file, status from source_file order by file")
    assert [(name, status == "duplicate") for name, status in ledger] == [("a.csv", False), ("b.csv", True)]
    assert query(home, "select count(*) from score_row") == [(2,)]


def test_one_name_in_two_folders_goes_by_folder_and_name(take: Take, tmp_path: Path) -> None:
    for folder, scores in (("north", "2 3"), ("south", "3 3")):
        (tmp_path / "in" / folder).mkdir(parents=True)
        text = session("NORTHBARN", "2026-08-01", scores)
        (tmp_path / "in" / folder / "scores.csv").write_text(text)
    report = take(tmp_path / "in")
    assert [outcome.file for outcome in report.files] == ["north/scores.csv", "south/scores.csv"]


def test_a_refused_file_is_read_again_when_its_farm_is_given(take: Take, tmp_path: Path, home: Path) -> None:
    path = tmp_path / "scores.csv"
    path.write_text("scored_on,group,ewe,score\n2026-08-01,ewes,1,2.5\n")
    assert take(path).files[0].status == "refused"
    assert take(path, farm="NORTHBARN").files[0].standing == "again"
    assert query(home, "select farm, count(*) from score_row group by farm") == [("NORTHBARN", 1)]
    assert query(home, "select count(*) from source_file") == [(1,)]


def test_a_date_in_the_future_is_accepted_when_its_day_has_come(
    take: Take, tmp_path: Path, home: Path
) -> None:
    path = tmp_path / "early.csv"
    path.write_text(session("NORTHBARN", "2026-09-25", "2 3"))
    assert take(path).something_refused()
    import_paths([path], Settings(home=home, as_of=DEMO_DAY.replace(month=9, day=26)))
    assert query(home, "select count(*) from score_row") == [(2,)]


def test_the_same_bytes_told_to_be_of_another_farm_are_another_record(
    take: Take, tmp_path: Path, home: Path
) -> None:
    path = tmp_path / "scores.csv"
    path.write_text("scored_on,group,score,count\n2026-08-01,ewes,2.5,12\n")
    take(path, farm="NORTHBARN")
    shutil.copy(path, tmp_path / "south.csv")
    take(tmp_path / "south.csv", farm="SOUTHBARN")
    farms = query(home, "select farm from score_row order by farm")
    assert farms == [("NORTHBARN",), ("SOUTHBARN",)]


def test_the_same_bytes_given_with_another_day_report_their_own_figures(
    take: Take, files: Path, tmp_path: Path
) -> None:
    take(files / "register.csv")
    path = tmp_path / "scores.csv"
    path.write_text("farm,group,ewe,score\nNORTHBARN,ewes,1,2.5\nNORTHBARN,ewes,2,7\n")
    in_season, too_early = date(2026, 8, 25), date(2024, 8, 25)  # the register has 2026 alone

    def figures(day: date) -> tuple[str, int, int, set[str]]:
        report = take(path, scored_on=day)
        (one,) = report.files
        return one.standing, one.rows_accepted, one.rows_refused, {each.code for each in report.problems}

    assert figures(in_season) == ("new", 1, 1, {"score_out_of_range"})
    assert figures(too_early) == ("new", 0, 2, {"score_out_of_range", "no_season"})
    assert figures(in_season) == ("unchanged", 1, 1, {"score_out_of_range"})


def test_bytes_of_which_nothing_was_taken_are_read_again_when_told_otherwise(
    take: Take, tmp_path: Path, home: Path
) -> None:
    path = tmp_path / "scores.csv"
    path.write_text("farm,scored_on,group,score,count\nNORTHBARN,08/25/2026,ewes,2.5,12\n")
    take(path)
    assert len(take(path, group="ewes").problems) == 1
    assert query(home, "select count(*) from source_file") == [(1,)]


def test_a_heading_once_named_is_known_for_that_farm(take: Take, tmp_path: Path, home: Path) -> None:
    for day in ("01", "15"):
        text = f"scored_on,group,Beast,score\n2026-08-{day},ewes,7,2.5\n"
        (tmp_path / f"{day}.csv").write_text(text)
    take(tmp_path / "01.csv", farm="NORTHBARN", headings={"Beast": "ewe"})
    take(tmp_path / "15.csv", farm="NORTHBARN")
    assert query(home, "select distinct ewe, count(*) from score_row group by ewe") == [("7", 2)]
