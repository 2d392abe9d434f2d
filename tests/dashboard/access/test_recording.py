"""What commands leave in the audit record."""

import json
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from dashboard.cli import main
from tests.dashboard.access.practice import FARMS, HEADING


def kept(home: Path) -> list[dict[str, Any]]:
    return [json.loads(line) for line in (home / "audit.jsonl").read_text().splitlines()]


def test_importing_and_exporting_leave_a_line_each(tmp_path: Path) -> None:
    register = tmp_path / "register.csv"
    register.write_text(HEADING + FARMS[0].register())
    home = tmp_path / "home"
    for words in (["import", str(register)], ["export", "call_list"], ["export", "nothing"], ["check"]):
        CliRunner().invoke(main, [*words, "--home", str(home)])
    lines = kept(home)
    assert [line["event"] for line in lines] == ["import", "export", "export"]
    assert {line["where"] for line in lines} == {"command line"}
    assert str(register) in lines[0]["paths"] and lines[1]["table"] == "call_list"


def test_a_command_in_a_folder_that_is_not_there_makes_none(tmp_path: Path) -> None:
    CliRunner().invoke(main, ["export", "call_list", "--home", str(tmp_path / "nowhere")])
    assert not (tmp_path / "nowhere").exists()
