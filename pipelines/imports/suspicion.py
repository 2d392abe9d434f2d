"""What is odd about accepted rows of a score file: warnings, from the file alone."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

import numpy as np
import pyarrow as pa
import pyarrow.compute as pc

from pipelines.imports import catalogue
from pipelines.imports.problems import Problem
from pipelines.imports.rows import Rows
from pipelines.imports.text_cells import RECALIBRATION

FEWEST_ALL_SAME = 20

# (farm, scored_on) → (line it begins on, lowest score, highest score, ewes)
Sessions = dict[tuple[str, date], tuple[int, float, float, int]]


def suspicions(rows: Rows) -> list[Problem]:
    """Ewes and counts given twice, groups spelt two ways, rows that count nobody."""
    return [*_ewes_twice(rows), *_counts_twice(rows), *_groups_spelt_twice(rows), *_nothing_counted(rows)]


def is_plainly_mixed(rows: Rows) -> bool:
    """Whether the rows are one session with several scores, so that `sessions_of` need not be asked."""
    one_session = all(len(set(rows.columns.get(name, ()))) <= 1 for name in ("farm", "scored_on"))
    return one_session and len(set(rows.columns.get("score", ()))) > 1


def sessions_of(table: pa.Table) -> Sessions:
    """The range of scores of each session in a score table."""
    grouped = _grouped(table, ["farm", "scored_on"])
    keys = zip(grouped["farm"].to_pylist(), grouped["scored_on"].to_pylist(), strict=True)
    values = zip(*(grouped[name].to_pylist() for name in ("line", "low", "high", "ewes")), strict=True)
    return dict(zip(keys, values, strict=True))


def has_session_all_same(table: pa.Table) -> bool:
    """Whether `all_same` has anything to say of a file of these score rows, told apart by column `file`."""
    grouped = _grouped(table, ["file", "farm", "scored_on"])
    same = pc.equal(grouped["low"], grouped["high"])
    many = pc.greater_equal(grouped["ewes"], FEWEST_ALL_SAME)
    return bool(pc.any(pc.and_(same, many)).as_py())


def _grouped(table: pa.Table, keys: list[str]) -> pa.Table:
    """First `line`, `low` and `high` score and `ewes` of the rows of a score table alike in `keys`."""
    measures = {"line": "min", "low": "min", "high": "max", "ewes": "sum"}
    grouped = _runs(table, keys).group_by(keys, use_threads=False).aggregate([*measures.items()])
    return grouped.rename_columns({f"{name}_{how}": name for name, how in measures.items()})


def _runs(table: pa.Table, keys: list[str]) -> pa.Table:
    """The same of rows that follow each other: the rows of a session mostly do, and then little is left."""
    starts = _starts([table[key].combine_chunks() for key in keys])
    line, score, count = (table[name].to_numpy() for name in ("line", "score", "count"))
    measures = {
        "line": np.minimum.reduceat(line, starts),
        "low": np.minimum.reduceat(score, starts),
        "high": np.maximum.reduceat(score, starts),
        "ewes": np.add.reduceat(count, starts, dtype=np.int64),
    }
    return pa.table({key: table[key].take(pa.array(starts)) for key in keys} | measures)


def _starts(keys: list[pa.Array]) -> np.ndarray:
    """Positions at which one of `keys` is another than before, and the first."""
    changes = [pc.not_equal(key[1:], key[:-1]).to_numpy(zero_copy_only=False) for key in keys]
    return np.flatnonzero(np.insert(np.logical_or.reduce(changes), 0, True)[: len(keys[0])])


def add_sessions(sessions: Sessions, more: Sessions) -> None:
    """Put `more`, from another piece of the same file, into `sessions`."""
    for key, (line, low, high, ewes) in more.items():
        if key in sessions:
            first, lowest, highest, others = sessions[key]
            line, low, high, ewes = min(line, first), min(low, lowest), max(high, highest), ewes + others
        sessions[key] = (line, low, high, ewes)


def all_same(sessions: Sessions) -> list[Problem]:
    """Sessions of at least `FEWEST_ALL_SAME` ewes that all have one score."""
    return [
        catalogue.ALL_SAME_SCORE(f"{low:g}", ewes=ewes).at(line, "score")
        for line, low, high, ewes in sessions.values()
        if low == high and ewes >= FEWEST_ALL_SAME
    ]


def _repeats(keys: Sequence[tuple[object, ...]], lines: Iterable[int]) -> Iterator[tuple[int, int, int]]:
    """Position, line and first line of every key that came before."""
    if len(set(keys)) == len(keys):
        return
    first: dict[tuple[object, ...], int] = {}
    for at, (key, line) in enumerate(zip(keys, lines, strict=True)):
        if first.setdefault(key, line) != line:
            yield at, line, first[key]


def _ewes_twice(rows: Rows) -> Iterator[Problem]:
    ewes = rows.columns.get("ewe")
    if ewes is None or len(set(ewes)) == len(ewes):
        return
    notes = rows.columns.get("note") or [None] * len(ewes)
    # A ewe without a tag, or scored again on purpose, is told apart by her line.
    told_apart = [
        line if ewe is None or note == RECALIBRATION else None
        for line, ewe, note in zip(rows.lines, ewes, notes, strict=True)
    ]
    keys = list(zip(*_session_columns(rows), ewes, told_apart, strict=True))
    for at, line, first in _repeats(keys, rows.lines):
        yield catalogue.EWE_TWICE(ewes[at], line=first).at(line, "ewe")


def _counts_twice(rows: Rows) -> Iterator[Problem]:
    if "ewe" in rows.columns:
        return
    groups = rows.columns.get("group") or [None] * len(rows.lines)
    scores = rows.columns.get("score") or [None] * len(rows.lines)
    keys = list(zip(*_session_columns(rows), groups, scores, strict=True))
    for at, line, first in _repeats(keys, rows.lines):
        if scores[at] is None:
            yield catalogue.GROUP_TWICE(groups[at] or "", line=first).at(line, "group")
        else:
            yield catalogue.TALLY_TWICE(groups[at] or "", score=scores[at], line=first).at(line, "score")


def _session_columns(rows: Rows) -> list[Sequence[object]]:
    return [rows.columns[name] for name in ("farm", "scored_on") if name in rows.columns]


def _groups_spelt_twice(rows: Rows) -> Iterator[Problem]:
    groups = rows.columns.get("group")
    if groups is None or len({name.casefold() for name in set(groups)}) == len(set(groups)):
        return
    farms = rows.columns.get("farm") or [None] * len(groups)
    first: dict[tuple[str | None, str], str] = {}
    told: set[tuple[str | None, str]] = set()
    for line, farm, group in zip(rows.lines, farms, groups, strict=True):
        other = first.setdefault((farm, group.casefold()), group)
        if other != group and (farm, group) not in told:
            told.add((farm, group))
            yield catalogue.GROUP_SPELT_TWICE(group, other=other).at(line, "group")


def _nothing_counted(rows: Rows) -> Iterator[Problem]:
    counts = [column for name, column in rows.columns.items() if isinstance(name, float)]
    if counts:
        for line, row in zip(rows.lines, zip(*counts, strict=True), strict=True):
            if not any(row):
                yield catalogue.NOTHING_COUNTED().at(line)
