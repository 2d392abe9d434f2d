"""Work for processes of their own, once there is enough of it to be worth starting them."""

from __future__ import annotations

import os
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from multiprocessing import get_context, parent_process
from multiprocessing.connection import wait
from threading import Lock, Thread
from time import perf_counter
from types import TracebackType
from typing import ParamSpec, Self, TypeVar

P = ParamSpec("P")
Found = TypeVar("Found")

# Starting two fresh interpreters takes about this long: until so much was spent, the work is done here.
WORTH_STARTING_SECONDS = 0.5


class Elsewhere:
    """Calls functions, here at first and then in one of `workers` processes; any number of threads may."""

    def __init__(self, workers: int) -> None:
        self._workers = workers
        self._starting = Lock()
        self._pool: ProcessPoolExecutor | None = None
        self._spent = 0.0

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._pool is not None:
            self._pool.shutdown(cancel_futures=True)

    def __call__(self, function: Callable[P, Found], /, *args: P.args, **kwargs: P.kwargs) -> Found:
        """What `function` gives; it, its arguments and what it gives can be pickled."""
        if self._spent >= WORTH_STARTING_SECONDS:
            return self._processes().submit(function, *args, **kwargs).result()
        start = perf_counter()
        try:
            return function(*args, **kwargs)
        finally:
            self._spent += perf_counter() - start

    def _processes(self) -> ProcessPoolExecutor:
        with self._starting:
            if self._pool is None:
                # 'spawn': a fork would copy the database's threads in an unknown state
                self._pool = ProcessPoolExecutor(
                    self._workers, mp_context=get_context("spawn"), initializer=_end_with_parent
                )
            return self._pool


def _end_with_parent() -> None:
    """A process whose parent is killed would wait for work for ever."""
    parent = parent_process()
    if parent is not None:
        Thread(target=_end_after, args=(parent.sentinel,), daemon=True).start()


def _end_after(sentinel: int) -> None:
    wait([sentinel])
    os._exit(1)
