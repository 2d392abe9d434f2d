"""The commands as they are typed: exit status, words, and the same for machines."""

import json
import shutil
import threading
from pathlib import Path

import click
import pyarrow.parquet as pq
import pytest
from click.testing import CliRunner, Result

from pipelines.cli import commands
from pipelines.warehouse.lock import writer_lock

TUPPING = click.Group(commands=list(commands))
GOOD = """farm,scored_on,group,ewe,score
NORTHBARN,2026-08-01,ewes,1,2.5
NORTHBARN,2026-08-01,ewes,2,3
"""
REGISTER = """farm,name,system,ewes,weaned_on,rams_in
NORTHBARN,North Barn,hill,40,2026-07-28,2026-10-24
"""
BAD = {
    "empty.csv": (b"", None),
    "binary.csv": (bytes(range(256)), None),
    "missing-column.csv": (b"farm,scored_on,group,ewe\nNORTHBARN,2026-08-01,ewes,1\n", None),
    "score-of-7.csv": (GOOD.replace(",3\n", ",7\n").encode(), 3),
    "future.csv": (GOOD.replace("2026-08-01,ewes,2", "2027-08-01,ewes,2").encode(), 3),
    "unknown-farm.csv": (
        GOOD.replace("NORTHBARN,2026-08-01,ewes,2", "NOWHERE,2026-08-01,ewes,2").encode(),
        3,
    ),
}


def write_files(folder: Path) -> Path:
    """A register and a session of two ewes."""
    folder.mkdir()
    (folder / "register.csv").write_text(REGISTER)
    (folder / "good.csv").write_text(GOOD)
    return folder


@pytest.fixture
def files(tmp_path: Path) -> Path:
    return write_files(tmp_path / "files")


@pytest.fixture(scope="module")
def imported_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder into which the files were imported. Only to be copied."""
    folder = tmp_path_factory.mktemp("imported")
    run(folder / "home", "import", write_files(folder / "files"))
    return folder / "home"


@pytest.fixture
def imported(imported_once: Path, home: Path, files: Path) -> Path:
    """The files, which the home of this test has taken in already."""
    shutil.copytree(imported_once, home)
    return files


def run(home: Path, *words: object) -> Result:
    options = ["--home", str(home), "--as-of", "2026-09-20"]
    return CliRunner().invoke(TUPPING, [*map(str, words), *options])


def test_a_clean_import_says_so_and_exits_0(files: Path, home: Path) -> None:
    result = run(home, "import", files)
    assert result.exit_code == 0
    assert "good.csv: imported: 2 of 2 rows accepted" in result.stdout
    assert "2 files (2 imported). 3 rows imported, 0 refused." in result.stdout


@pytest.mark.parametrize("name", BAD)
def test_bad_input_is_named_with_its_line_and_everything_else_is_imported(
    files: Path, home: Path, name: str
) -> None:
    content, line = BAD[name]
    (files / name).write_bytes(content)
    result = run(home, "import", files)
    (problem, *_) = [text.strip() for text in result.stdout.splitlines() if text.startswith(f"    {name}")]
    place, _, remedy = problem.partition(": error:")
    assert result.exit_code == 1
    assert place.split(":")[1:2] == ([str(line)] if line else place.split(":")[1:2])
    assert len(remedy) > 20
    assert "good.csv: imported: 2 of 2 rows accepted" in result.stdout


def test_a_good_row_beside_a_bad_one_is_imported(files: Path, home: Path) -> None:
    content, _ = BAD["score-of-7.csv"]
    (files / "good.csv").write_bytes(content)
    report = json.loads(run(home, "import", files, "--json").stdout)
    (outcome,) = [file for file in report["files"] if file["file"] == "good.csv"]
    assert (outcome["rows_accepted"], outcome["rows_refused"]) == (1, 1)
    assert [(p["line"], p["code"]) for p in report["problems"]] == [(3, "score_out_of_range")]


def test_other_files_in_a_folder_are_named(files: Path, home: Path) -> None:
    (files / "scores.xlsx").write_bytes(b"PK\x03\x04 a spreadsheet")
    (files / "photo.jpg").write_bytes(b"\xff\xd8")
    (files / ".DS_Store").write_bytes(b"\x00")
    (files / "~$scores.xlsx").write_bytes(b"\x05Sam")
    result = run(home, "import", files)
    assert result.exit_code == 1
    assert "scores.xlsx: refused" in result.stdout
    assert "photo.jpg: left alone" in result.stdout
    assert "DS_Store" not in result.stdout
    assert "~$" not in result.stdout


def test_a_second_import_reports_that_nothing_changed(imported: Path, home: Path) -> None:
    result = run(home, "import", imported)
    assert result.exit_code == 0
    assert "2 files (2 known already). 0 rows imported, 0 refused." in result.stdout


def test_a_problem_names_the_offending_text_once(files: Path, home: Path) -> None:
    (files / "good.csv").write_text(GOOD.replace("2026-08-01,ewes,2", "08/25/2026,ewes,2"))
    lines = run(home, "import", files / "good.csv").stdout.splitlines()
    (said,) = [line for line in lines if "good.csv:3:" in line]
    assert said.count("'08/25/2026'") == 1
    assert lines[-1].startswith("1 file (")


def test_a_heading_mapped_to_no_column_of_ours_is_not_remembered(files: Path, home: Path) -> None:
    run(home, "import", files / "good.csv", "--map", "Fatness=sccore")
    assert run(home, "import", files).exit_code == 0


def test_withdrawing_what_does_not_count_says_what_became_of_it(files: Path, home: Path) -> None:
    (files / "copy of good.csv").write_text(GOOD)
    run(home, "import", files)
    said = run(home, "withdraw", "good.csv").stderr
    assert "'good.csv' is a copy of 'copy of good.csv'" in said
    run(home, "withdraw", "copy of good.csv")
    said = run(home, "withdraw", "copy of good.csv").stderr
    assert "'copy of good.csv' was withdrawn" in said


def test_rows_of_a_farm_written_otherwise_ask_which_is_meant(files: Path, home: Path) -> None:
    (files / "good.csv").write_text(GOOD.replace("farm,", "").replace("NORTHBARN,", ""))
    said = run(home, "import", files, "--farm", "northbarn").stdout
    assert "2 rows wait" in said and "Did you mean NORTHBARN (North Barn)?" in said


def test_a_retag_of_a_ewe_never_scored_says_so(imported: Path, home: Path) -> None:
    slip = run(home, "retag", "NORTHBRAN", "1", "9").stdout
    assert "Did you mean NORTHBARN" in slip
    assert "No ewe 1 of NORTHBRAN has been scored so far" in slip
    assert "so far" not in run(home, "retag", "NORTHBARN", "1", "9").stdout


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("import",), "Missing argument"),
        (("import", "nowhere.csv"), "does not exist"),
        (("import", ".", "--map", "Tag no"), "HEADING=COLUMN"),
        (("import", ".", "--map", "Fatness=sccore"), "'sccore'"),
        (("import", ".", "--date", "08/14/2026"), "not a day"),
        (("export", "sheep"), "session_summary"),
        (("export", "session_summary", "--format", "xml"), "csv"),
        (("withdraw", "nobody.csv"), "nobody.csv"),
        (("retag", "NORTHBARN", "1", "1"), "same"),
    ],
)
def test_wrong_use_exits_2_and_says_what_is_right(
    imported: Path, home: Path, words: tuple[str, ...], said: str
) -> None:
    result = run(home, *words)
    assert result.exit_code == 2
    assert said in result.stderr


def test_export_before_any_import_says_what_to_do(home: Path) -> None:
    result = run(home, "export", "session_summary")
    assert (result.exit_code, "tupping import" in result.stderr) == (2, True)


@pytest.mark.parametrize(
    "words", [("check",), ("rebuild",), ("withdraw", "good.csv"), ("retag", "NORTHBARN", "1", "9")]
)
def test_a_mistyped_data_folder_is_named_and_not_made(tmp_path: Path, words: tuple[str, ...]) -> None:
    result = run(tmp_path / "hmoe", *words)
    assert result.exit_code == 2
    assert "nothing has been imported into" in result.stderr
    assert not (tmp_path / "hmoe").exists()


def test_a_data_folder_below_a_file_is_named_in_words(files: Path) -> None:
    result = run(files / "good.csv" / "home", "import", files)
    assert (result.exit_code, "lies below a file" in result.stderr) == (1, True)


def test_a_folder_that_is_not_there_is_named_with_its_remedy(
    imported: Path, home: Path, tmp_path: Path
) -> None:
    nowhere = tmp_path / "nowhere"
    for words in (("export", "about", "-o", nowhere / "a.csv"), ("backup", nowhere / "b.tar")):
        result = run(home, *words)
        assert result.exit_code == 2
        assert f"there is no folder {nowhere}: make it first" in result.stderr


def test_the_three_formats_hold_the_same_rows(imported: Path, home: Path, tmp_path: Path) -> None:
    as_csv = run(home, "export", "score_distribution").stdout.splitlines()
    as_json = json.loads(run(home, "export", "score_distribution", "--format", "json").stdout)
    run(home, "export", "score_distribution", "--format", "parquet", "-o", tmp_path / "d.parquet")
    as_parquet = pq.read_table(tmp_path / "d.parquet").to_pylist()
    assert as_csv[0].startswith("farm,season,scored_on,stage,group,score,ewes")
    assert as_csv[1].startswith("NORTHBARN,2026,2026-08-01,weaning,ewes,2.5,1")
    assert [row["score"] for row in as_json] == [row["score"] for row in as_parquet] == [2.5, 3.0]
    assert len(as_csv) == 3
    assert as_json[0]["scored_on"] == "2026-08-01"


def test_check_exits_0_and_then_1_when_a_byte_is_flipped(imported: Path, home: Path) -> None:
    assert run(home, "check").exit_code == 0
    (copy,) = [path for path in (home / "archive").glob("??/*") if path.read_text().startswith("farm,scored")]
    copy.write_text(copy.read_text().replace("2.5", "3.5"))
    result = run(home, "check")
    assert (result.exit_code, "good.csv: has changed in the archive" in result.stdout) == (1, True)


def test_rebuild_backup_and_restore_report_what_they_did(imported: Path, home: Path, tmp_path: Path) -> None:
    assert "2 files read back" in run(home, "rebuild").stdout
    written = run(home, "backup", tmp_path / "practice.tar").stdout
    assert "bytes written" in written and "confidential" in written
    assert "2 files restored" in run(tmp_path / "new", "restore", tmp_path / "practice.tar").stdout


def test_withdraw_and_its_undoing(imported: Path, home: Path) -> None:
    assert "good.csv: its 2 rows count no more" in run(home, "withdraw", "good.csv").stdout
    assert "good.csv: its 2 rows count again" in run(home, "withdraw", "good.csv", "--undo").stdout


def test_a_file_given_with_a_wrong_day_and_then_the_right_one_can_be_withdrawn(
    files: Path, home: Path
) -> None:
    (files / "tally.csv").write_text("farm,group,score,count\nNORTHBARN,ewes,2.5,12\n")
    run(home, "import", files / "register.csv")
    for given in ("2026-08-04", "2026-08-05"):
        run(home, "import", files / "tally.csv", "--date", given)
    said = run(home, "withdraw", "tally.csv").stderr
    assert "of 2026-08-04" in said and "of 2026-08-05" in said and "--date" in said
    assert "its 1 rows count no more" in run(home, "withdraw", "tally.csv", "--date", "2026-08-04").stdout
    counted = run(home, "export", "score_distribution").stdout
    assert ",2026-08-05," in counted and ",2026-08-04," not in counted


def test_superseding_shows_the_difference(imported: Path, home: Path, tmp_path: Path) -> None:
    (tmp_path / "better.csv").write_text(GOOD.replace(",3\n", ",3.5\n"))
    result = run(home, "import", tmp_path / "better.csv", "--supersede", "good.csv")
    assert "rows added 0, removed 0, changed 1" in result.stdout
    assert "line 3: score 3.0 → 3.5" in result.stdout


def test_a_second_writer_says_who_is_writing(imported: Path, home: Path) -> None:
    let_go = threading.Event()
    holding = threading.Event()

    def hold() -> None:
        with writer_lock(home / "writer.lock"):
            holding.set()
            let_go.wait(10)

    thread = threading.Thread(target=hold)
    thread.start()
    holding.wait(5)
    result = run(home, "import", imported, "--wait", "0.1")
    let_go.set()
    thread.join()
    assert result.exit_code == 1
    assert "process" in result.stderr
    assert "since" in result.stderr


@pytest.mark.parametrize("command", commands, ids=lambda command: str(command.name))
def test_every_command_has_help_with_an_example(command: click.Command) -> None:
    result = CliRunner().invoke(TUPPING, [str(command.name), "--help"])
    assert result.exit_code == 0
    for part in (f"Example: tupping {command.name}", "--home", "--json"):
        assert part in result.stdout
