"""Keeps the published figures those of the day while the dashboard answers, in processes of their own.

A light process waits for the day to change; what works the figures out is started when needed and gone
afterwards. Both end with the server. Until the pointer moves, whoever reads sees the last generation.
"""

from __future__ import annotations

import contextlib
import os
import subprocess
import sys
import threading
import time
from datetime import date
from pathlib import Path
from typing import Any

LOOK_SECONDS = 60.0
BUSY = 75  # how `work_out` ends while somebody else writes: to be tried again
NOW = "now"
# not in the terminal's group, whose Ctrl+C is for the server: they end when it has ended
APART: dict[str, Any] = {"creationflags": 0x200} if sys.platform == "win32" else {"start_new_session": True}


def begin(home: Path, as_of: date | None) -> subprocess.Popen[bytes]:
    """Have the figures worked out as of today, and again whenever the day changes, or as of the day given;
    ends with the process that asked for it."""
    day = [as_of.isoformat()] if as_of else []
    return subprocess.Popen([*_upkeep(), str(home), *day], stdin=subprocess.PIPE, **APART)


def _upkeep() -> list[str]:
    return [sys.executable, "-m", "dashboard.upkeep"]


def wait(home: str, as_of: str | None = None) -> None:
    """Start what is needed day after day; with a day given, once."""
    running: list[subprocess.Popen[bytes]] = []
    threading.Thread(target=_end_with_the_server, args=(running,), daemon=True).start()
    done = None
    while not (as_of and done):
        day = as_of or date.today().isoformat()
        if done != day:
            running[:] = [subprocess.Popen([*_upkeep(), home, day, NOW], stdin=subprocess.DEVNULL)]
            done = None if running[0].wait() == BUSY else day
        if done is None or as_of is None:
            time.sleep(LOOK_SECONDS)


def _end_with_the_server(running: list[subprocess.Popen[bytes]]) -> None:
    while os.read(0, 1):  # nobody writes: it ends when the server is gone, however it went
        pass
    for each in running:
        each.terminate()  # at any step: the next run begins where the last generation stands
    os._exit(0)


def work_out(home: str, day: str) -> int:
    """Publish as of `day` where something else is published; how the process is to end."""
    from pipelines.settings import load
    from pipelines.warehouse.errors import WarehouseBusyError, WarehouseError
    from pipelines.warehouse.publish import refresh

    with contextlib.suppress(AttributeError):  # Windows has no nice
        os.nice(10)  # who reads comes first
    try:
        if refresh(load(Path(home), date.fromisoformat(day))):
            print(f"Every figure worked out anew as of {day}.", flush=True)
    except WarehouseBusyError:
        return BUSY
    except WarehouseError as error:
        print(f"Figures stay as last published: {error}", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    given = sys.argv[1:]
    if given[-1] == NOW:
        sys.exit(work_out(*given[:-1]))
    wait(*given)
