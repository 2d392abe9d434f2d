"""README stays true: its commands, their options and the output it shows are compared with the program."""

import re
import shlex
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from dashboard.cli import main

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
CONSOLE = re.findall(r"```console\n(.*?)```", README, flags=re.DOTALL)
PROMPTED = [line[2:] for block in CONSOLE for line in block.splitlines() if line.startswith("$ ")]
TUPPING = [line for line in PROMPTED if line.startswith("tupping ")]


def command_of(words: list[str]) -> tuple[click.Command, list[str]]:
    """The command that `words` name, going down into groups, and the words left for it."""
    command: click.Command = main
    while isinstance(command, click.Group):
        command, words = command.commands[words[0]], words[1:]
    return command, words


@pytest.mark.parametrize("line", TUPPING)
def test_every_command_shown_exists_with_the_options_shown(line: str) -> None:
    command, words = command_of(shlex.split(line.split(" | ")[0])[1:])
    known = {name for param in command.params for name in (*param.opts, *param.secondary_opts)} | {"--help"}
    assert {word for word in words if re.fullmatch(r"--?[a-z][a-z-]*", word)} <= known


def test_the_table_of_commands_is_the_program_s_own() -> None:
    assert set(re.findall(r"^\| `tupping ([a-z]+)", README, flags=re.MULTILINE)) == set(main.commands)


def test_every_command_has_help_with_an_example() -> None:
    for name in main.commands:
        shown = CliRunner().invoke(main, [name, "--help"])
        assert shown.exit_code == 0
        assert "xample" in shown.output, name


def test_the_demo_prints_what_is_shown(tmp_path: Path) -> None:
    block = next(block for block in CONSOLE if block.startswith("$ tupping demo --no-serve"))
    ran = CliRunner().invoke(main, ["demo", "--no-serve", "--home", str(tmp_path)])
    shown = [line for line in block.splitlines()[1:] if line != "…"]
    assert len(shown) > 3
    assert [line for line in shown if line not in ran.output] == []


def test_continuous_integration_runs_the_test_command_shown() -> None:
    ran = (ROOT / ".ci" / "run").read_text(encoding="utf-8")
    tested = [line for line in PROMPTED if "pytest" in line]
    assert tested
    assert all(part in ran for line in tested for part in line.split(" && "))
