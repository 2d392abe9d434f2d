"""What commands leave in the audit record."""

import json
from pathlib import Path
from typing import Any

from click.testing import CliRunner

from dashboard.app import create_app
from dashboard.brief import serving
from dashboard.cli import main
from dashboard.guard.doors import Doors
from pipelines.settings import Settings
from tests.dashboard.access.practice import FARMS, HEADING, Visitor


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


def test_tables_and_printed_things_are_recorded_as_what_they_are(new_home: Path) -> None:
    server = create_app(Settings(new_home), Doors(new_home, others=True)).server
    if "print" not in server.blueprints:
        server.register_blueprint(serving.blueprint(Settings(new_home)))
    visitor = Visitor(server.test_client())
    visitor.sign_in("morag")
    for address in (
        "/save/files.csv",
        "/print/H1/brief.pdf",
        "/print/H1/draw-list.csv",
        "/print/H1/dates.ics",
    ):
        visitor.get(address)
    lines = kept(new_home)[1:]
    assert [line["event"] for line in lines] == ["export", "brief", "draw list", "calendar"]
    assert lines[1]["address"] == "/print/H1/brief.pdf"


def test_what_cannot_be_recorded_is_not_given_out(new_home: Path, new_visitor: Visitor) -> None:
    new_visitor.sign_in("morag")
    (new_home / "audit.jsonl").unlink()
    (new_home / "audit.jsonl").mkdir()
    assert new_visitor.get("/save/files.csv").status_code == 500


def test_a_command_that_cannot_be_recorded_says_why(tmp_path: Path) -> None:
    (tmp_path / "audit.jsonl").mkdir()
    result = CliRunner().invoke(main, ["export", "call_list", "--home", str(tmp_path)])
    assert result.exit_code == 1
    assert "audit.jsonl" in result.stderr and "--home" in result.stderr


def test_a_command_in_a_folder_that_is_not_there_makes_none(tmp_path: Path) -> None:
    CliRunner().invoke(main, ["export", "call_list", "--home", str(tmp_path / "nowhere")])
    assert not (tmp_path / "nowhere").exists()
