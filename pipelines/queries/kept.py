"""Cursors kept with their scope, for whoever asks with the same scope of the same published state."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from typing import Any

from pipelines.queries.scoped import Scope, Snapshot, scoped

MOST = 32  # idle cursors: more than the threads of a process that ask at once

Key = tuple[int, frozenset[str]]


class Kept:
    """Cursors on what each scope may see, for any number of threads.

    A cursor answers for one scope all its life: it is found again under the generation and the very farms
    that its views were made for, and by one visitor at a time. Those of an earlier generation are let go.
    """

    def __init__(self, snapshot: Snapshot, most: int = MOST) -> None:
        self._snapshot = snapshot
        self._most = most
        self._lock = threading.Lock()
        self._idle: OrderedDict[tuple[Key, int], tuple[ExitStack, Any]] = OrderedDict()

    @contextmanager
    def cursor(self, scope: Scope) -> Iterator[Any]:
        """A cursor that nobody else uses meanwhile; kept on leaving unless an error comes through."""
        if scope is None:  # costs nothing to open
            with scoped(self._snapshot, None) as cursor:
                yield cursor
            return
        # asked before the cursor is opened: it may be of a later generation than its key, never of an earlier
        key = self._snapshot.generation(), scope
        opened, cursor = self._take(key) or self._open(scope)
        with opened:  # closes the cursor, unless it was kept
            yield cursor
            self._keep(key, opened.pop_all(), cursor)

    def _open(self, scope: Scope) -> tuple[ExitStack, Any]:
        opened = ExitStack()
        return opened, opened.enter_context(scoped(self._snapshot, scope))

    def _take(self, key: Key) -> tuple[ExitStack, Any] | None:
        with self._lock:
            found = next((each for each in reversed(self._idle) if each[0] == key), None)
            taken = None if found is None else self._idle.pop(found)
            gone = self._others_than(key[0])
        _close(gone)
        return taken

    def _keep(self, key: Key, opened: ExitStack, cursor: Any) -> None:
        with self._lock:
            self._idle[key, id(cursor)] = opened, cursor
            gone = [self._idle.popitem(last=False)[1][0] for _ in range(len(self._idle) - self._most)]
        _close(gone)

    def _others_than(self, generation: int) -> list[ExitStack]:
        late = [each for each in self._idle if each[0][0] != generation]
        return [self._idle.pop(each)[0] for each in late]


def _close(opened: list[ExitStack]) -> None:
    for each in opened:
        each.close()
