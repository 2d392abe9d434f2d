"""Commands that give out or change clients' figures leave a line in the audit record too."""

from __future__ import annotations

import copy
import functools
from pathlib import Path
from typing import Any, Final

import click

from dashboard.accounts.audit import Event
from dashboard.accounts.commands import note
from pipelines.cli_options import Surroundings
from pipelines.settings import Settings, default_home

EVENTS: Final[dict[str, Event]] = {
    "import": "import",
    "withdraw": "withdraw",
    "retag": "retag",
    "export": "export",
    "backup": "backup",
    "restore": "restore",
    "release": "release",
    "brief": "brief",
    "draw": "draw list",
    "calendar": "calendar",
}


def recorded(command: click.Command) -> click.Command:
    """`command` itself, or one that also notes what it was asked to do, where that is to be recorded."""
    event, act = EVENTS.get(command.name or ""), command.callback
    if event is None or act is None:
        return command

    @functools.wraps(act)
    def act_and_note(home: Path | None, **rest: Any) -> Any:
        folder = home or default_home()
        try:
            return act(home=home, **rest)
        finally:
            if folder.exists():  # nothing was done in a folder that is not there
                asked = {name: str(value) for name, value in rest.items() if value}
                note(Surroundings(Settings(folder), as_json=False), event, **asked)

    noting = copy.copy(command)
    noting.callback = act_and_note
    return noting
