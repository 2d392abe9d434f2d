"""What a corrected file changes: rows added, removed and changed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from pipelines.warehouse.errors import WrongUseError
from pipelines.warehouse.writer import Connection

Row = Mapping[str, Any]

# What makes a row the same row in both files; whatever else differs is a change.
_SCORE_KEY = ("farm", "scored_on", "group", "ewe", "score")
_EWE_KEY = ("farm", "scored_on", "ewe")
_REGISTER_KEY = ("farm", "season")


@dataclass(frozen=True, slots=True)
class Change:
    """A row that is in both files with other values: heading → (old, new)."""

    row: Row
    values: Mapping[str, tuple[Any, Any]]


@dataclass(frozen=True, slots=True)
class Difference:
    """Rows of the new file only, of the old file only, and those that differ."""

    added: tuple[Row, ...]
    removed: tuple[Row, ...]
    changed: tuple[Change, ...]

    def sentence(self) -> str:
        """The three counts in words."""
        counts = (len(self.added), len(self.removed), len(self.changed))
        return "rows added {}, removed {}, changed {}".format(*counts)


def compare(old: Sequence[Row], new: Sequence[Row]) -> Difference:
    """Difference of two files' rows, told apart by ewe, by score of a group, or by farm and season."""
    old_by_key, new_by_key = _by_key(old), _by_key(new)
    both = [key for key in old_by_key if key in new_by_key]
    changes = (_change(old_by_key[key], new_by_key[key]) for key in both)
    return Difference(
        added=tuple(row for key, row in new_by_key.items() if key not in old_by_key),
        removed=tuple(row for key, row in old_by_key.items() if key not in new_by_key),
        changed=tuple(change for change in changes if change.values),
    )


def _by_key(rows: Iterable[Row]) -> dict[tuple[Any, ...], Row]:
    """Rows by what identifies them, and their turn among equals (a file may name a ewe twice)."""
    turns: Counter[tuple[Any, ...]] = Counter()
    found = {}
    for row in rows:
        key = tuple(row[name] for name in _key_of(row))
        found[(*key, turns[key])] = row
        turns[key] += 1
    return found


def _key_of(row: Row) -> tuple[str, ...]:
    if "rams_in" in row:
        return _REGISTER_KEY
    return _EWE_KEY if row["ewe"] is not None else _SCORE_KEY


def _change(old: Row, new: Row) -> Change:
    return Change(
        new, {name: (old[name], new[name]) for name in new if name != "line" and old[name] != new[name]}
    )


def rows_of_file(connection: Connection, file_id: int, kind: str | None) -> list[Row]:
    """The accepted rows of one file, in the order of the file; none when it was refused."""
    queries = {
        "scores": "select * exclude (file_id) from score_row where file_id = ? order by line, score",
        "register": "select * exclude (file_id) from register_row where file_id = ? order by line",
    }
    if kind is None:
        return []
    result = connection.execute(queries[kind], [file_id])
    names = [column[0] for column in result.description or ()]
    return [dict(zip(names, row, strict=True)) for row in result.fetchall()]


def same_kind(old: str | None, new: str | None) -> None:
    """Raise `WrongUseError` when a register is to replace scores or the other way round."""
    if old and new and old != new:
        raise WrongUseError(f"a file of {new} cannot replace a file of {old}")
