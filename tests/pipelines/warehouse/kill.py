"""Imports in processes of their own that are killed, and a reader that must never notice."""

import json
import os
import random
import signal
import subprocess
import sys
import threading
import time
from contextlib import suppress
from pathlib import Path
from typing import IO

from pipelines.warehouse.crash import CRASH_VARIABLE
from pipelines.warehouse.snapshot import Snapshot

# Forks itself for each line it is told, and says which process that is and how it ended: to load the program
# takes far longer than to import a few files. Nothing of the database has run where it forks.
_FORKS = """
import json, os, sys
from datetime import date
from pathlib import Path
from pipelines.settings import Settings
from pipelines.warehouse.importing import import_paths
for line in sys.stdin:
    told = json.loads(line)
    if not (process := os.fork()):
        os.dup2(os.open(os.devnull, os.O_WRONLY), 1)  # what is said there is of processes alone
        os.environ[told["variable"]] = told["crash_at"]
        exec(told["before"])
        import_paths([Path(told["files"])], Settings(home=Path(told["home"]), as_of=date(2026, 9, 20)))
        sys.exit()
    print(process, flush=True)
    print(os.waitstatus_to_exitcode(os.waitpid(process, 0)[1]), flush=True)
"""


# Makes files of 350 kB large, parts them likewise, inserts each piece on its own, and reads what is odd in a
# process at once.
LARGE_ONES = """
from functools import partial
from pipelines.warehouse import elsewhere, intake, large
intake.LARGE_BYTES = large.LARGE_BYTES = 300_000
large.parse_chunks = partial(large.parse_chunks, size=350_000)
large.INSERT_ROWS = 6_000
elsewhere.WORTH_STARTING_SECONDS = 0
"""


class Process:
    """One that imports."""

    def __init__(self, said: IO[str]) -> None:
        self._said = said
        self._number = int(said.readline())

    def kill(self) -> None:
        """End it at once, or do nothing when it was done before."""
        with suppress(ProcessLookupError):
            os.kill(self._number, signal.SIGKILL)

    def wait(self) -> int:
        """How it ended: its status, or minus the signal that ended it."""
        return int(self._said.readline())


class Importing:
    """Starts imports, one after the other, each in a process of its own."""

    def __init__(self) -> None:
        environment = os.environ | {"PYTHONPATH": os.pathsep.join(sys.path)}
        pipe = subprocess.PIPE
        self._forks = subprocess.Popen(
            [sys.executable, "-c", _FORKS], stdin=pipe, stdout=pipe, text=True, env=environment
        )

    def __call__(self, files: Path, home: Path, crash_at: str = "", before: str = "") -> Process:
        """Start an import that dies at a named point, or runs until it is done or killed; first runs
        `before`."""
        told = {"files": str(files), "home": str(home), "crash_at": crash_at, "before": before}
        assert self._forks.stdin is not None and self._forks.stdout is not None
        print(json.dumps(told | {"variable": CRASH_VARIABLE}), file=self._forks.stdin, flush=True)
        return Process(self._forks.stdout)

    def close(self) -> None:
        """Start no more."""
        self._forks.communicate()


def kill_sometime(process: Process, dice: random.Random, longest: float) -> bool:
    """Kill a process after a random time; false when it was done before."""
    time.sleep(dice.uniform(0, longest))
    process.kill()
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
