"""The place where models are built: runs the SQL files in order and moves frames in and out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import date
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Literal, Protocol

import pandas as pd
import pyarrow as pa

from pipelines.models.tables import KEYS, SCOPES, Rebuilt, Scope

# Names put into these are constants of this package and queries its own files: never a client's text.
MAKE = "create or replace temp {kind} {name} as\n{query}"
MORE = "insert into temp.{name}\n{query}"
TAKE = "select * from {name} order by {order}"
TAKE_SOME = "select * from {name} where farm between ? and ? order by {order}"
ROWS_OF_FARMS = """
    select farm, count(*) from {table}
    where farm in (select farm from affected_farm)
    group by farm order by farm
"""
ORDERED = "select * from (\n{query}\n) as built order by {order}"
WRITE = "create or replace table {name} as\n{query}"
FORGET = "delete from {name} as held where {replaced}"
ADD = "insert into {name}\n{query}"
HELD = "select * from marts.{table} as held where {replaced}"
REPLACED: Mapping[Scope, str] = MappingProxyType(
    {
        "farm": "held.farm in (select farm from affected_farm)",
        "season": "held.season in (select season from affected_season)",
        "file": "held.file in (select file from affected_file)",
        "day": "held.farm in (select farm from affected_farm) and held.scored_on >="
        " (select part.first_day from farm_part as part where part.farm = held.farm)",
    }
)
CHANGED = """
    select season from (({now}) except ({held})) as come
    union
    select season from (({held}) except ({now})) as gone
"""
OTHERS = """
    {now}
    union all
    select * from marts.{table} as held where not ({replaced})
"""
EVERY_FARM = """
    select farm from score_row
    union select farm from register_row
    union select farm from refused_line
"""
DROP = "drop {kind} if exists temp.{name}"

# As long as the rows of all farms together: read from them anew where used, since another copy of every row
# costs more than all that is worked out from it. So it is with scores set against each later session, half of
# the memory that working tables took. The rows of some farms are few and are kept.
LONG = ("score_line", "ewe_score", "ewe_record", "past_cell")

# Made for the farms at hand and gone with them: a row for each ewe of each session, or nearly.
PASSING = ("ewe_line", "ewe_twice")

# What runs over every ewe of every session is made for farms with so many score rows at once, and figures for
# farms with so many rows of counts, so that memory does not grow with the rows.
ROWS_AT_ONCE = 500_000
COUNTS_AT_ONCE = 15_000

# To sort as many rows takes as long as to write them; whoever wants an order of them asks for it.
AS_READ = ("ewe_history",)


Kind = Literal["table", "view"]


class Connection(Protocol):
    """What models need of the warehouse's connection; only the warehouse itself imports duckdb."""

    def execute(self, query: str, parameters: Any = ..., /) -> Any:
        """Run one statement."""

    def register(self, view_name: str, python_object: Any, /) -> Any:
        """Make a frame readable under a name."""

    def unregister(self, view_name: str, /) -> Any:
        """Forget that name."""


@dataclass(slots=True)
class _Begun:
    """A table that is worked out beside the database: the parts to come, and the one under way."""

    work: Callable[..., pd.DataFrame]
    parts: Iterator[pd.DataFrame]
    given: tuple[object, ...]
    future: Future[pd.DataFrame] | None = None
    kept: bool = False


class Workshop:
    """A build of all farms (`farms` None) or of some, in working tables that vanish with `clear`.

    Of some, each with the first day that changed where nothing but its sessions did.
    """

    def __init__(self, connection: Connection, farms: Mapping[str, date | None] | None) -> None:
        self.connection = connection
        self.whole = farms is None
        self._made: dict[str, Kind] = {}
        self._aside = ThreadPoolExecutor(1)
        self._begun: dict[str, _Begun] = {}
        if farms is None:
            self.make("affected_farm", EVERY_FARM)
        else:
            since = [farms[farm] for farm in sorted(farms)]
            columns = {"farm": pa.array(sorted(farms), pa.string()), "since": pa.array(since, pa.date32())}
            self.put("affected_farm", pa.table(columns))

    def stage(self, *names: str) -> None:
        """Make the working tables of these files of `staging/`."""
        for name in names:
            self._stage(name, more=False)
        self._go_on()

    def stage_in_turn(self, *names: str) -> None:
        """Make them for some farms after others, those that stand in `farm_at_hand`; see `PASSING`.

        Outside a transaction: until its end the database would keep what has passed.
        """
        for turn, farms in enumerate(self._turns("score_row", ROWS_AT_ONCE)):
            self.put("farm_at_hand", pa.table({"farm": pa.array(farms, pa.string())}))
            for name in names:
                self._stage(name, more=turn > 0 and name not in PASSING)
        for name in PASSING:
            self._drop(name)

    def _stage(self, name: str, *, more: bool) -> None:
        kind: Kind = "view" if self.whole and name in LONG else "table"
        if not more:
            self.make(name, sql("staging", name), kind)
        elif kind == "table":
            self.connection.execute(MORE.format(name=name, query=sql("staging", name)))

    def _turns(self, table: str, rows: int) -> list[list[str]]:
        """The farms concerned in their order, parted so that each part has about so many rows of a table."""
        turns: list[list[str]] = [[]]
        size = 0
        for farm, its_rows in self.connection.execute(ROWS_OF_FARMS.format(table=table)).fetchall():
            if turns[-1] and size + its_rows > rows:
                turns.append([])
                size = 0
            turns[-1].append(farm)
            size += its_rows
        return turns

    def make(self, name: str, query: str, kind: Kind = "table") -> None:
        """Make a working table of what a query returns."""
        self.connection.execute(MAKE.format(kind=kind, name=name, query=query))
        self._made[name] = kind

    def put(self, name: str, table: pa.Table, *, more: bool = False) -> None:
        """Make a working table of an Arrow table, or add `more` to it."""
        # the database keeps what is registered until its transaction ends; a reader that was read is empty
        reader = pa.RecordBatchReader.from_batches(table.schema, table.to_batches())
        self.connection.register("incoming", reader)
        query = "select * from incoming"
        if more:
            self.connection.execute(MORE.format(name=name, query=query))
        else:
            self.make(name, query)
        self.connection.unregister("incoming")

    def put_frame(self, name: str, frame: pd.DataFrame, *, more: bool = False) -> None:
        """Make a working table of a frame; its NaN become null, so that none is ever published."""
        table = pa.Table.from_pandas(frame, preserve_index=False)
        kinds = pa.schema([(one.name, _published(one.type)) for one in table.schema])
        self.put(name, table.cast(kinds), more=more)

    def put_frames(self, frames: Iterable[Mapping[str, pd.DataFrame]]) -> None:
        """Make working tables of frames that come part by part."""
        for part, named in enumerate(frames):
            for name, frame in named.items():
                self.put_frame(name, frame, more=part > 0)

    def begin(
        self, name: str, work: Callable[..., pd.DataFrame], parts: Iterable[pd.DataFrame], *given: object
    ) -> None:
        """Work out a table, part by part, in a thread beside the database, which goes on with other things.

        A part is taken when the one before is done and the database has done something more.
        """
        self._begun[name] = _Begun(work, iter(parts), given)
        self._go_on()

    def _go_on(self) -> None:
        for name, begun in self._begun.items():
            if begun.future is None or begun.future.done():
                self._next(name, begun)

    def _next(self, name: str, begun: _Begun) -> bool:
        """Keep the part that is done and begin the next; false when there is none."""
        part = next(begun.parts, None)
        done, begun.future = begun.future, None
        if part is not None:
            begun.future = self._aside.submit(begun.work, part, *begun.given)
        if done is not None:
            self.put_frame(name, done.result(), more=begun.kept)
            begun.kept = True
        return begun.future is not None

    def finish(self, name: str) -> None:
        """Wait for a table that was begun."""
        begun = self._begun.pop(name)
        while self._next(name, begun):
            pass

    def take(self, name: str, *order: str) -> pd.DataFrame:
        """A working table as a frame, in this order."""
        frame: pd.DataFrame = self.connection.execute(TAKE.format(name=name, order=_columns(order))).df()
        return frame

    def take_in_turn(self, name: str, *order: str, weight: int = 1) -> Iterator[pd.DataFrame]:
        """The same in parts of some farms each, at least one, in the order of the farms.

        `weight`: how many rows of counts a row is worth, where more is made of it.
        """
        query = TAKE_SOME.format(name=name, order=_columns(order))
        for farms in self._turns(name, COUNTS_AT_ONCE // weight):
            first, last = (farms[0], farms[-1]) if farms else ("", "")
            yield self.connection.execute(query, [first, last]).df()

    def keep(self, table: str, query: str, order: tuple[str, ...], scope: Scope) -> None:
        """Write a lasting table: all of it, or in a build of some farms the rows of its scope (see `SCOPES`).

        No `order`: as the rows were read.
        """
        rows = ORDERED.format(query=query, order=_columns(order)) if order else query
        if self.whole or scope is None:
            self.connection.execute(WRITE.format(name=table, query=rows))
        else:
            self.connection.execute(FORGET.format(name=table, replaced=REPLACED[scope]))
            self.connection.execute(ADD.format(name=table, query=rows))

    def publish(self, *tables: str) -> None:
        """Write these published tables from their files of `marts/`."""
        for table in tables:
            order = () if table in AS_READ else KEYS[table]
            self.keep(f"marts.{table}", sql("marts", table), order, SCOPES[table])
            self._go_on()

    def changed_seasons(self, *tables: str) -> str:
        """Query of the seasons in which these tables are about to change; before they are published."""
        return " union ".join(
            CHANGED.format(
                now=sql("marts", table), held=HELD.format(table=table, replaced=REPLACED[SCOPES[table]])
            )
            for table in tables
        )

    def of_all_farms(self, table: str) -> str:
        """Query of a published table as it will be: the farms concerned anew, the others as they are."""
        now = sql("marts", table)
        return now if self.whole else OTHERS.format(now=now, table=table, replaced=REPLACED[SCOPES[table]])

    def rebuilt(self) -> Rebuilt:
        """What this build has replaced."""
        farms, seasons = self.take("affected_farm", "farm"), self.take("affected_season", "season")
        return Rebuilt(self.whole, frozenset(farms["farm"]), frozenset(map(int, seasons["season"])))

    def clear(self) -> None:
        """Drop the working tables."""
        self._aside.shutdown(cancel_futures=True)
        for name in list(self._made):
            self._drop(name)

    def _drop(self, name: str) -> None:
        self.connection.execute(DROP.format(kind=self._made.pop(name), name=name))


@contextmanager
def opened(connection: Connection, farms: Mapping[str, date | None] | None) -> Iterator[Workshop]:
    """A workshop whose working tables are gone afterwards."""
    shop = Workshop(connection, farms)
    try:
        yield shop
    except BaseException:
        with suppress(Exception):  # after a statement that failed only the caller can still roll back
            shop.clear()
        raise
    shop.clear()


def sql(folder: str, name: str) -> str:
    """Text of one of the SQL files beside this module."""
    return (files("pipelines.models") / folder / f"{name}.sql").read_text(encoding="utf-8")


def _columns(names: tuple[str, ...]) -> str:
    return ", ".join(f'"{name}" nulls first' for name in names)


def _published(kind: pa.DataType) -> pa.DataType:
    """The type of a frame's column in the database; a text column without any text has lost its type."""
    if pa.types.is_timestamp(kind):  # pandas knows no days, only moments; all of ours are days
        return pa.date32()
    return pa.string() if pa.types.is_null(kind) else kind
