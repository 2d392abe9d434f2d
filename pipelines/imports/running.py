"""Where reading runs: in the caller's thread, several at once and ahead, or wherever the caller sends it."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Iterator
from concurrent.futures import Executor, Future
from typing import ParamSpec, Protocol, TypeVar

P = ParamSpec("P")
Item = TypeVar("Item")
Found = TypeVar("Found")


class Apply(Protocol):
    """How several are read: `map` itself, or `ahead(executor)`."""

    def __call__(self, read: Callable[[Item], Found], items: Iterable[Item], /) -> Iterator[Found]:
        """`read` of each of `items`, in their order."""


class Run(Protocol):
    """Where what takes Python long is run: `here`, or in another process."""

    def __call__(self, function: Callable[P, Found], /, *args: P.args, **kwargs: P.kwargs) -> Found:
        """What `function` gives."""


def here(function: Callable[P, Found], /, *args: P.args, **kwargs: P.kwargs) -> Found:
    """What `function` gives, run in this thread."""
    return function(*args, **kwargs)


def ahead(executor: Executor, waiting: int = 8) -> Apply:
    """Items read by `executor`, at most `waiting` of them at a time, so that memory stays bounded."""

    def apply(read: Callable[[Item], Found], items: Iterable[Item], /) -> Iterator[Found]:
        futures: deque[Future[Found]] = deque()
        for item in items:
            futures.append(executor.submit(read, item))
            if len(futures) >= waiting:
                yield futures.popleft().result()
        while futures:
            yield futures.popleft().result()

    return apply
