"""The `tupping` command as a user types it."""

import socket
from pathlib import Path

import pytest
from click.testing import CliRunner

from dashboard.cli import main


@pytest.mark.parametrize("command", ["demo", "serve", "import", "export", "check"])
def test_every_command_has_help_with_an_example(command: str) -> None:
    said = CliRunner().invoke(main, [command, "--help"])
    assert said.exit_code == 0
    assert f"Example: tupping {command}" in said.output


def test_the_demo_loads_into_its_own_folder_and_names_what_it_refused(tmp_path: Path) -> None:
    said = CliRunner().invoke(main, ["demo", "--no-serve", "--home", str(tmp_path)])
    assert said.exit_code == 0
    assert "WEXN13-2026-08-29.csv:12:BCS" in said.output
    assert (tmp_path / "published" / "current").exists()


def test_a_port_in_use_is_named_with_the_remedy(tmp_path: Path) -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        said = CliRunner().invoke(main, ["serve", "--home", str(tmp_path), "--port", str(port)])
    assert said.exit_code == 1
    assert f"127.0.0.1:{port} cannot be listened on" in said.output and "--port" in said.output


@pytest.mark.parametrize("reach", [["--host", "0.0.0.0"], ["--behind-proxy"]])
def test_serving_to_other_machines_is_refused_without_an_account(reach: list[str], tmp_path: Path) -> None:
    said = CliRunner().invoke(main, ["serve", *reach, "--home", str(tmp_path)])
    assert said.exit_code == 2
    assert "tupping account add NAME --role practice" in said.output
