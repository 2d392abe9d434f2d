"""Every suspicion, from the file to `import_problem`: a warning on its row, and the row counts."""

from collections.abc import Callable
from pathlib import Path

import pytest

from pipelines.settings import Settings
from pipelines.warehouse.report import ImportReport

from .conftest import REGISTER, exported

Take = Callable[..., ImportReport]
HEAD = "farm,scored_on,group,ewe,score,scorer\n"
TALLY = "farm,scored_on,group,score,count\n"


def rows(farm: str, day: str, *scores: float, scorer: str = "") -> str:
    return HEAD + "".join(f"{farm},{day},G,{ewe},{score},{scorer}\n" for ewe, score in enumerate(scores, 1))


FINE = (2, 2.5, 3, 2.5, 2, 3, 2, 3, 2, 3)
WHOLE = (2, 3, 2, 3, 2, 3, 2, 3, 2, 3)
# name: files, and the (file, line, code) that must be among the published warnings
CASES: dict[str, tuple[dict[str, str], tuple[str, str, str]]] = {
    "the same ewe twice in a session": (
        {"a.csv": rows("NORTHBARN", "2026-08-01", 2, 3) + "NORTHBARN,2026-08-01,G,1,2.5,\n"},
        ("a.csv", "4", "ewe_twice"),
    ),
    "a jump of over 1.5 scores in a month": (
        {"a.csv": rows("NORTHBARN", "2026-08-01", 2, 3), "b.csv": rows("NORTHBARN", "2026-08-31", 4, 3)},
        ("b.csv", "2", "score_jump"),
    ),
    "only whole scores from a scorer who used halves": (
        {"a.csv": rows("NORTHBARN", "2026-08-01", *FINE, scorer="Ada"),
         "b.csv": rows("SOUTHBARN", "2026-08-20", *WHOLE, scorer="Ada")},
        ("b.csv", "2", "whole_scores_only"),
    ),
    "a session of all the same score": (
        {"a.csv": rows("NORTHBARN", "2026-08-01", *[2.5] * 20)},
        ("a.csv", "2", "scores_all_same"),
    ),
    "a count above the flock size": (
        {"a.csv": f"{TALLY}SOUTHBARN,2026-08-01,G,3,20\nSOUTHBARN,2026-08-01,G,2,11\n"},
        ("a.csv", "2", "above_flock_size"),
    ),
    "a session dated on another farm's day by the same scorer": (
        {"a.csv": rows("NORTHBARN", "2026-08-01", 2, 3, scorer="Ada"),
         "b.csv": rows("SOUTHBARN", "2026-08-01", 2, 3, scorer="Ada")},
        ("b.csv", "2", "scorer_elsewhere"),
    ),
    "the same session sent twice": (
        {"a.csv": rows("NORTHBARN", "2026-08-01", *FINE), "b.csv": rows("NORTHBARN", "2026-08-01", *WHOLE)},
        ("a.csv", "", "session_sent_twice"),
    ),
    "a counted session in two files": (
        {name: f"{TALLY}SOUTHBARN,2026-08-01,G,3,{ewes}\n"
         for name, ewes in (("a.csv", 8), ("b.csv", 9))},
        ("b.csv", "2", "session_in_two_files"),
    ),
}  # fmt: skip


@pytest.mark.parametrize("name", CASES)
def test_a_suspicion_is_a_published_warning_and_refuses_nothing(
    name: str, take: Take, settings: Settings, tmp_path: Path
) -> None:
    files, (file, line, code) = CASES[name]
    folder = tmp_path / "files"
    folder.mkdir()
    for offered, text in ({"register.csv": REGISTER} | files).items():
        (folder / offered).write_text(text)
    report = take(folder)
    published = exported(settings.home)["import_problem"].decode().splitlines()[1:]
    (found,) = [row for row in published if row.split(",")[0] == file and f",{code},warning," in row]
    assert found.split(",")[1] == line
    assert {outcome.rows_refused for outcome in report.files} == {0}


def test_of_a_ewe_twice_the_later_line_counts_as_the_warning_says(
    take: Take, settings: Settings, tmp_path: Path
) -> None:
    files, _ = CASES["the same ewe twice in a session"]
    for offered, text in ({"register.csv": REGISTER} | files).items():
        (tmp_path / offered).write_text(text)
    take(tmp_path / "register.csv", tmp_path / "a.csv")
    tables = exported(settings.home)
    assert b"She counts once, with this later line" in tables["import_problem"]
    assert b"NORTHBARN,2026,1,2026-08-01,weaning,G,2.5" in tables["ewe_history"]
    assert tables["ewe_history"].count(b"NORTHBARN") == 2
