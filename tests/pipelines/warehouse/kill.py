"""Imports in processes of their own that are killed, and a reader that must never notice."""

import os
import random
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

from pipelines.warehouse.crash import CRASH_VARIABLE
from pipelines.warehouse.snapshot import Snapshot

_IMPORT = """
import sys
from datetime import date
from pathlib import Path
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths
if __name__ == "__main__":
    import_paths([Path(sys.argv[1])], Settings(home=Path(sys.argv[2]), as_of=date(2026, 9, 20)))
"""
# Makes files of a megabyte large, inserts each piece on its own, and reads what is odd in a process at once.
LARGE_ONES = """
from pipelines.warehouse import elsewhere, intake, large
intake.LARGE_BYTES = large.LARGE_BYTES = 1_000_000
large.INSERT_ROWS = 20_000
elsewhere.WORTH_STARTING_SECONDS = 0
"""


def importing(files: Path, home: Path, crash_at: str = "", before: str = "") -> subprocess.Popen[bytes]:
    """Start an import that dies at a named point, or runs until it is done or killed; first runs `before`."""
    environment = os.environ | {CRASH_VARIABLE: crash_at, "PYTHONPATH": os.pathsep.join(sys.path)}
    return subprocess.Popen([sys.executable, "-c", before + _IMPORT, str(files), str(home)], env=environment)


def kill_sometime(process: subprocess.Popen[bytes], dice: random.Random, longest: float) -> bool:
    """Kill a process after a random time; false when it was done before."""
    time.sleep(dice.uniform(0, longest))
    process.send_signal(signal.SIGKILL)
    return process.wait() == -signal.SIGKILL


class Watching:
    """Reads the published tables again and again from a thread; every read must give a whole state."""

    def __init__(self, home: Path) -> None:
        self._snapshot = Snapshot(home)
        self._done = threading.Event()
        self._thread = threading.Thread(target=self._watch)
        self.reads = 0
        self.failures: list[str] = []

    def __enter__(self) -> "Watching":
        self._thread.start()
        return self

    def __exit__(self, *_: object) -> None:
        self._done.set()
        self._thread.join()
        self._snapshot.close()

    def _watch(self) -> None:
        while not self._done.is_set():
            try:
                self._read()
            except Exception as error:
                self.failures.append(repr(error))
            self.reads += 1
            time.sleep(0.005)

    def _read(self) -> None:
        with self._snapshot.cursor() as cursor:
            ((files,),) = cursor.execute(
                "select sum(rows_accepted) from import_file where kind = 'scores'"
            ).fetchall()
            ((scores,),) = cursor.execute(
                "select sum(ewes) from score_distribution where \"group\" <> 'ALL'"
            ).fetchall()
        if files != scores:
            self.failures.append(f"{files} rows in the list of files, {scores} in the distribution")
