"""The place where models are built: runs the SQL files in order and moves frames in and out."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import contextmanager, suppress
from datetime import date
from importlib.resources import files
from types import MappingProxyType
from typing import Any, Literal, Protocol

import pandas as pd
import pyarrow as pa

from pipelines.models.tables import KEYS, SCOPES, Rebuilt, Scope

# Names put into these are constants of this package and queries its own files: never a client's text.
MAKE = "create or replace temp {kind} {name} as\n{query}"
TAKE = "select * from {name} order by {order}"
ORDERED = "select * from (\n{query}\n) as built order by {order}"
WRITE = "create or replace table {name} as\n{query}"
FORGET = "delete from {name} as held where {replaced}"
ADD = "insert into {name}\n{query}"
HELD = "select * from marts.{table} as held where {replaced}"
REPLACED: Mapping[Scope, str] = MappingProxyType(
    {
        "farm": "held.farm in (select farm from affected_farm)",
        "season": "held.season in (select season from affected_season)",
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
# costs more than all that is worked out from it. The rows of some farms are few and are kept.
LONG = ("score_line", "ewe_score", "ewe_record")

# To sort as many rows takes as long as to write them; whoever wants an order of them asks for it.
AS_READ = ("ewe_history",)


class Connection(Protocol):
    """What models need of the warehouse's connection; only the warehouse itself imports duckdb."""

    def execute(self, query: str, parameters: Any = ..., /) -> Any:
        """Run one statement."""

    def register(self, view_name: str, python_object: Any, /) -> Any:
        """Make a frame readable under a name."""

    def unregister(self, view_name: str, /) -> Any:
        """Forget that name."""


class Workshop:
    """A build of all farms (`farms` None) or of some, in working tables that vanish with `clear`.

    Of some, each with the first day that changed where nothing but its sessions did.
    """

    def __init__(self, connection: Connection, farms: Mapping[str, date | None] | None) -> None:
        self.connection = connection
        self.whole = farms is None
        self._made: dict[str, str] = {}
        self._aside = ThreadPoolExecutor(1)
        self._begun: dict[str, Future[pd.DataFrame]] = {}
        if farms is None:
            self.make("affected_farm", EVERY_FARM)
        else:
            since = [farms[farm] for farm in sorted(farms)]
            columns = {"farm": pa.array(sorted(farms), pa.string()), "since": pa.array(since, pa.date32())}
            self.put("affected_farm", pa.table(columns))

    def stage(self, *names: str) -> None:
        """Make the working tables of these files of `staging/`."""
        for name in names:
            self.make(name, sql("staging", name), "view" if self.whole and name in LONG else "table")

    def make(self, name: str, query: str, kind: Literal["table", "view"] = "table") -> None:
        """Make a working table of what a query returns."""
        self.connection.execute(MAKE.format(kind=kind, name=name, query=query))
        self._made[name] = kind

    def put(self, name: str, table: pa.Table) -> None:
        """Make a working table of an Arrow table."""
        self.connection.register("incoming", table)
        self.make(name, "select * from incoming")
        self.connection.unregister("incoming")

    def put_frame(self, name: str, frame: pd.DataFrame) -> None:
        """Make a working table of a frame; its NaN become null, so that none is ever published."""
        table = pa.Table.from_pandas(frame, preserve_index=False)
        self.put(name, table.cast(pa.schema([(one.name, _published(one.type)) for one in table.schema])))

    def begin(self, name: str, work: Callable[..., pd.DataFrame], *given: object) -> None:
        """Work out a frame in a thread of its own while the database goes on with what does not need it."""
        self._begun[name] = self._aside.submit(work, *given)

    def finish(self, name: str) -> None:
        """Make a working table of a frame that was begun."""
        self.put_frame(name, self._begun.pop(name).result())

    def take(self, name: str, *order: str) -> pd.DataFrame:
        """A working table as a frame, in this order."""
        frame: pd.DataFrame = self.connection.execute(TAKE.format(name=name, order=_columns(order))).df()
        return frame

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
        for name, kind in self._made.items():
            self.connection.execute(DROP.format(kind=kind, name=name))


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
