import csv
import io
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path
from typing import Any

import flask
import openpyxl
import pandas as pd
import pytest

from dashboard.brief.compose import ewes_to_draw
from dashboard.brief.content import Ewe
from dashboard.brief.drawlist import files, spreadsheet, stick_reader, without_number
from dashboard.brief.tables import Tables
from dashboard.downloads import saved
from dashboard.spreadsheet import as_text, printed_tag
from pipelines.imports import canonical_ewe

GROUPS = (
    "3-4", "=x", "=1+1", "+44", "-2", "@x", "MAR 1", "1 March", "12.5", "1E5", "007", "TRUE", "10:30", "5 %",
    "8 a", "£5", "½", "Top hill", "March ewes", "ALL", "2nd", "Sat",
)  # fmt: skip
NASTY = ("0012", "MAR1", "1E5", "3/4", "12-3", "=cmd()", "+1", "@x", "-2", "TRUE", "007")


# comma, double quotes, UTF-8; numbers and dates are looked for, as when a user opens the file
UTF8 = "--infilter=CSV:44,34,76,1,,0,false,true"
SPREADSHEET = pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")


def ewe(tag: str, action: str = "best grazing", group: str = "Top hill") -> Ewe:
    return Ewe(group, tag, 2.25, 13.0, 0.82, action, date(2026, 9, 4), 1)


def rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))


def test_a_uk_tag_is_written_as_it_is_printed_tag() -> None:
    # the example of the reference: UK 0 123456 00001 = 826012345600001
    assert printed_tag("826012345600001") == "UK 0 123456 00001"
    assert printed_tag("372001234567890") == "ID 372 001234567890"
    assert printed_tag("0012") == "tag 0012"


def test_a_printed_tag_is_read_back_as_the_same_ewe() -> None:
    for tag in ("826012345600001", "372001234567890", "951000012345678"):
        assert canonical_ewe(printed_tag(tag)) == tag


def test_no_cell_can_be_taken_for_a_formula() -> None:
    content = spreadsheet("=cmd()", [ewe(tag, group=tag) for tag in NASTY])
    cells = [cell for row in rows(content) for cell in row.values()]
    assert not [cell for cell in cells if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]


def test_a_name_with_words_of_its_own_is_left_alone() -> None:
    for name in ("Top hill", "March ewes", "ALL", "Gimmers 2026", "1st cross", "rams-in ewes"):
        assert as_text("group", name) == name


def in_a_spreadsheet(content: bytes, folder: Path) -> list[list[Any]]:
    """Rows of cells after LibreOffice has opened a CSV by itself and kept it as .xlsx."""
    (folder / "kept.csv").write_bytes(content)
    subprocess.run(
        ["soffice", f"-env:UserInstallation=file://{folder}/profile", "--headless", UTF8,
         "--convert-to", "xlsx", "--outdir", str(folder), str(folder / "kept.csv")],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    sheet = openpyxl.load_workbook(folder / "kept.xlsx").active
    assert sheet is not None
    return [list(row) for row in sheet.iter_rows(min_row=2)]


@SPREADSHEET
def test_the_spreadsheet_of_these_tests_does_spoil_what_is_not_protected(tmp_path: Path) -> None:
    raw = b"tag,group,group,group\r\n826012345600001,3/4/26,007,=1+1\r\n"
    ((tag, day, number, formula),) = in_a_spreadsheet(raw, tmp_path)
    assert [cell.data_type for cell in (tag, day, number, formula)] == ["n", "d", "n", "f"]


@SPREADSHEET
def test_a_spreadsheet_keeps_every_tag_farm_and_group_as_text(tmp_path: Path) -> None:
    tags = ("826012345600001", "372001234567890", "999000000000001", *NASTY)
    ewes = [ewe(tag) for tag in tags] + [ewe("B12", group=group) for group in GROUPS]
    found = in_a_spreadsheet(spreadsheet("3/4", ewes), tmp_path)
    assert [row[2].value for row in found][: len(tags)] == [printed_tag(tag) for tag in tags]
    assert [row[1].value for row in found][len(tags) :] == [as_text("group", group) for group in GROUPS]
    assert {cell.data_type for row in found for cell in row[:3]} == {"s"}
    assert {row[0].value for row in found} == {"farm 3/4"}


@SPREADSHEET
def test_a_spreadsheet_keeps_what_the_screens_save(tmp_path: Path) -> None:
    ewes = pd.DataFrame({"farm": ["0012"], "group": ["3-4"], "ewe": ["826012345600001"], "score": [2.25]})
    with flask.Flask(__name__).app_context():
        ((farm, group, tag, score),) = in_a_spreadsheet(saved(ewes, "ewes").data, tmp_path)
    assert (farm.value, group.value, tag.value) == ("farm 0012", "group 3-4", "UK 0 123456 00001")
    assert score.value == 2.25


def test_a_stick_readers_list_is_one_number_a_line() -> None:
    assert stick_reader([ewe("826012345600002"), ewe("826012345600001"), ewe("B12")]) == (
        b"826012345600001\r\n826012345600002\r\n"
    )


def test_there_is_one_stick_list_for_each_action(tables: Callable[..., Tables]) -> None:
    ewes = ewes_to_draw(tables(tagged=2))
    found = files("H01", [replace(ewes[0], action="unlikely in time"), ewes[1]])
    assert set(found) == {"draw-list.csv", "stick-best-grazing.txt", "stick-unlikely-in-time.txt"}
    assert len(rows(found["draw-list.csv"])) == 2


def test_ewes_that_a_reader_cannot_find_are_counted() -> None:
    assert without_number([ewe("826012345600001")]) == ""
    assert "1\u00a0ewe without" in without_number([ewe("826012345600001"), ewe("B12")])
