"""Options that every command shares, and how failures leave the program."""

from __future__ import annotations

import functools
import json
from collections.abc import Callable
from dataclasses import asdict, dataclass, is_dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any, ParamSpec, TypeVar

import click

from pipelines.settings import Settings, SettingsError, default_home, load

P = ParamSpec("P")
R = TypeVar("R")

WAIT = click.option(
    "--wait",
    type=click.FloatRange(min=0),
    default=10.0,
    show_default=True,
    metavar="SECONDS",
    help="How long to wait while another process writes.",
)


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What `--home`, `--as-of` and `--json` say."""

    settings: Settings
    as_json: bool

    def say(self, result: Any, sentence: str) -> None:
        """Print a result for machines or for people."""
        if self.as_json:
            echo_json(result)
        else:
            click.echo(sentence)


def practice(command: Callable[..., R]) -> Callable[..., R]:
    """Give a command `--home`, `--as-of` and `--json`, and name every failure without a traceback."""

    @click.option(
        "--home", type=click.Path(file_okay=False, path_type=Path), help="Folder where the data lives."
    )
    @click.option("--as-of", callback=day, metavar="DATE", help="The day that 'today' means.")
    @click.option("--json", "as_json", is_flag=True, help="Machine-readable output.")
    @functools.wraps(command)
    def with_options(home: Path | None, as_of: datetime | None, as_json: bool, **rest: Any) -> R:
        with_failures = _named_failures(command)
        settings = _settings(home or default_home(), as_of.date() if as_of else None)
        return with_failures(Surroundings(settings, as_json), **rest)

    return with_options


def _settings(home: Path, as_of: date | None) -> Settings:
    try:
        return load(home, as_of)
    except SettingsError as error:
        raise click.UsageError(str(error)) from error


def _named_failures(command: Callable[P, R]) -> Callable[P, R]:
    @functools.wraps(command)
    def run(*args: P.args, **kwargs: P.kwargs) -> R:
        from pipelines.warehouse.errors import WarehouseError, WrongUseError

        try:
            return command(*args, **kwargs)
        except WrongUseError as error:
            raise click.UsageError(str(error)) from error
        except WarehouseError as error:
            raise click.ClickException(str(error)) from error

    return run


def day(_context: click.Context, _option: click.Parameter, text: str | None) -> datetime | None:
    """A day written `2026-09-20` (or day first, `20/09/2026`)."""
    if text is None:
        return None
    for form in ("%Y-%m-%d", "%d/%m/%Y"):
        try:
            return datetime.strptime(text, form)
        except ValueError:
            continue
    raise click.BadParameter(f"'{text}' is not a day; write it as 2026-09-20 or 20/09/2026")


def pairs(_context: click.Context, _option: click.Parameter, texts: tuple[str, ...]) -> dict[str, str]:
    """`HEADING=COLUMN`, any number of times."""
    found = {}
    for text in texts:
        heading, equals, column = text.rpartition("=")
        if not (heading and equals and column):
            raise click.BadParameter(f"'{text}' is not HEADING=COLUMN, for example \"Tag no=ewe\"")
        found[heading] = column
    return found


def echo_json(value: Any) -> None:
    """Print a result as JSON; dataclasses become objects, dates ISO text."""
    if is_dataclass(value) and not isinstance(value, type):
        value = asdict(value)
    click.echo(json.dumps(value, default=str, ensure_ascii=False, indent=1))
