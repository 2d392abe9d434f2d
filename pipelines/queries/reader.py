"""The published tables as one visitor may see them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from collections.abc import Set as AbstractSet
from contextlib import ExitStack, contextmanager
from typing import Any

import pandas as pd

from pipelines.queries.kept import Kept
from pipelines.queries.scoped import Snapshot, scoped


class Reader:
    """Published tables in which only the farms of a scope exist.

    `scope` holds the codes of the farms that may be seen; None is every farm of the practice. All that one
    reader is asked comes from one published state; it is for one thread. With `kept`, cursors of that
    snapshot, it takes one that was made for the same scope before.
    """

    def __init__(
        self, snapshot: Snapshot, scope: AbstractSet[str] | None = None, kept: Kept | None = None
    ) -> None:
        self._snapshot = snapshot
        self._scope = None if scope is None else frozenset(scope)
        self._kept = kept
        self._opened = ExitStack()
        self._cursor: Any = None

    def generation(self) -> int:
        """Number of the published state: it grows with every publication."""
        return self._snapshot.generation()

    @contextmanager
    def cursor(self) -> Iterator[Any]:
        """The cursor on the permitted rows; opened when first needed, as each costs a dozen views."""
        if self._cursor is None:
            opening = self._kept.cursor(self._scope) if self._kept else scoped(self._snapshot, self._scope)
            self._cursor = self._opened.enter_context(opening)
        yield self._cursor

    def close(self) -> None:
        """Let go of the published state; what is asked afterwards comes from the latest one."""
        self._cursor = None
        self._opened.close()

    def frame(self, query: str, values: Mapping[str, Any] | None = None) -> pd.DataFrame:
        """Answer of a query; `values` are bound to its `$names`."""
        with self.cursor() as cursor:
            answer: pd.DataFrame = cursor.execute(query, dict(values or {})).df()
        return answer

    def rows(self, query: str, values: Mapping[str, Any] | None = None) -> list[tuple[Any, ...]]:
        """As `frame`, as plain rows for a handful of values."""
        with self.cursor() as cursor:
            answer: list[tuple[Any, ...]] = cursor.execute(query, dict(values or {})).fetchall()
        return answer
