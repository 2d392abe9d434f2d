"""Named places where a test can make the process die as if the power had gone.

The environment is read here and nowhere else. A real kill lands on such a point once in thousands of
tries; naming the points lets every one be tested in every run. Without the variable this does nothing.
"""

from __future__ import annotations

import os
from typing import Literal, get_args

CrashPoint = Literal["after_archive", "during_insert", "before_commit", "during_publish", "before_pointer"]
CRASH_POINTS: tuple[CrashPoint, ...] = get_args(CrashPoint)
CRASH_VARIABLE = "TUPPING_CRASH_AT"
CRASH_STATUS = 137  # what a shell reports for a process ended by SIGKILL


def crash_point(name: CrashPoint) -> None:
    """End the process here, with no clean-up at all, when the environment asks for this point."""
    if os.environ.get(CRASH_VARIABLE) == name:
        os._exit(CRASH_STATUS)
