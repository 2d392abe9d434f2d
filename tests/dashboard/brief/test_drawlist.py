import csv
import io
import shutil
import subprocess
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from dashboard.brief.compose import ewes_to_draw
from dashboard.brief.content import Ewe
from dashboard.brief.drawlist import files, printed, spreadsheet, stick_reader, without_number
from dashboard.brief.tables import Tables
from pipelines.imports import canonical_ewe

NASTY = ("0012", "MAR1", "1E5", "3/4", "12-3", "=cmd()", "+1", "@x", "-2", "TRUE", "007")


def ewe(tag: str, action: str = "best grazing", group: str = "Top hill") -> Ewe:
    return Ewe(group, tag, 2.25, 13.0, 0.82, action, date(2026, 9, 4), 1)


def rows(content: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(content.decode("utf-8-sig"))))


def test_a_uk_tag_is_written_as_it_is_printed() -> None:
    # the example of the reference: UK 0 123456 00001 = 826012345600001
    assert printed("826012345600001") == "UK 0 123456 00001"
    assert printed("372001234567890") == "ID 372 001234567890"
    assert printed("0012") == "tag 0012"


def test_a_printed_uk_tag_is_read_back_as_the_same_ewe() -> None:
    assert canonical_ewe(printed("826012345600001")) == canonical_ewe("826012345600001")


def test_no_cell_can_be_taken_for_a_formula() -> None:
    content = spreadsheet("=cmd()", [ewe(tag, group=tag) for tag in NASTY])
    cells = [cell for row in rows(content) for cell in row.values()]
    assert not [cell for cell in cells if cell[:1] in ("=", "+", "-", "@", "\t", "\r")]


@pytest.mark.skipif(shutil.which("soffice") is None, reason="LibreOffice is not installed")
def test_a_spreadsheet_keeps_every_tag_as_text(tmp_path: Path) -> None:
    tags = ("826012345600001", "372001234567890", "999000000000001", *NASTY)
    (tmp_path / "draw.csv").write_bytes(spreadsheet("H01", [ewe(tag) for tag in tags]))
    subprocess.run(
        ["soffice", f"-env:UserInstallation=file://{tmp_path}/profile", "--headless", "--convert-to", "xlsx",
         "--outdir", str(tmp_path), str(tmp_path / "draw.csv")],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip
    sheet = openpyxl.load_workbook(tmp_path / "draw.xlsx").active
    assert sheet is not None
    cells = [row[2] for row in sheet.iter_rows(min_row=2)]
    assert [cell.value for cell in cells] == [printed(tag) for tag in tags]
    assert {cell.data_type for cell in cells} == {"s"}


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
