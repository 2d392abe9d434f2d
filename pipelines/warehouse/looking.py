"""Looking before anything is done: what importing, replacing or withdrawing a file would change."""

from __future__ import annotations

from collections.abc import Mapping, Set
from dataclasses import dataclass, replace
from datetime import datetime
from pathlib import Path
from typing import Any

import pyarrow as pa

from pipelines.imports.context import Context
from pipelines.imports.headings import read_headings
from pipelines.imports.parsed import Parsed
from pipelines.imports.preview import Preview, farms_named, preview
from pipelines.settings import Settings
from pipelines.warehouse import corrections, difference, ledger, mappings
from pipelines.warehouse.archive import sha256_of
from pipelines.warehouse.difference import Difference
from pipelines.warehouse.importing import Given, how_to_read, require_own_farms
from pipelines.warehouse.offers import Offer, context_json, record_name
from pipelines.warehouse.pointer import current
from pipelines.warehouse.writer import Connection, open_writer

# A page that is looked at again and again must not wait long while somebody imports.
LOOK_WAIT_SECONDS = 3.0

_SAME_SESSION = """
    select f.file, f.sha256, f.context_json, count(distinct (s.farm, s.scored_on)) as sessions,
        sum(s.count) as ewes
    from score_row s join source_file f on f.file_id = s.file_id
    where f.status in ('imported', 'imported_with_problems') and f.sha256 <> ?
      and exists (select 1 from offered o where o.farm = s.farm and o.scored_on = s.scored_on
                  and o."group" = s."group")
    group by f.file, f.sha256, f.context_json order by f.file, f.sha256, f.context_json
"""
_SAME_NAME = """
    select f.file, f.sha256, f.context_json from source_file f
    where f.file = ? and f.sha256 <> ? and f.status in ('imported', 'imported_with_problems')
    order by f.sha256, f.context_json
"""
_SESSIONS = """
    select s.farm, s.scored_on, sum(s.count) as ewes from score_row s where s.file_id = ?
    group by s.farm, s.scored_on order by s.farm, s.scored_on
"""

_GROUPS = pa.schema([("farm", pa.string()), ("scored_on", pa.date32()), ("group", pa.string())])


@dataclass(frozen=True, slots=True)
class Rival:
    """A file that counts already and may be an earlier version: same name, or some of the same sessions.

    `record` names it alone; `told`: what was given with it (`context_json`)."""

    file: str
    record: str
    told: str
    same_name: bool
    sessions: int
    ewes: int


@dataclass(frozen=True, slots=True)
class Look:
    """What importing a file would do. `standing` as in `intake.Taken`; `usual`: what each heading means
    unless said otherwise just now; `difference` when it is to replace another; `generation` is the state of
    the tables that this holds for."""

    preview: Preview
    usual: Mapping[str, str]
    context: Context
    sha256: str
    farms: frozenset[str]
    standing: str
    rivals: tuple[Rival, ...]
    difference: Difference | None
    generation: int


@dataclass(frozen=True, slots=True)
class Held:
    """A file that is in the ledger, with its sessions (farm, day, ewes) and rows; `record` and `told` as in
    `Rival`."""

    file: str
    sha256: str
    record: str
    told: str
    kind: str | None
    status: str
    rows: int
    sessions: tuple[tuple[str, Any, int], ...]
    copies: tuple[str, ...]
    rivals: tuple[Rival, ...]
    generation: int


def look_at(settings: Settings, name: str, content: bytes, given: Given) -> Look:
    """What importing `content` under this name would give, from the same state and by the same rules.

    Raises `NotYoursError` when it names farms beyond `given.only_farms`, `WrongUseError` when the file to
    replace is not there or of another kind, `WarehouseBusyError` while somebody imports.
    """
    sha256 = sha256_of(content)
    with open_writer(settings.home, LOOK_WAIT_SECONDS) as writer:
        pointer = current(writer.places)
        saved = mappings.saved(writer)
        context = how_to_read(saved, content, settings, given)
        require_own_farms(content, context, given)
        shown = preview(content, context)
        offer = Offer(name, Path(), context, context_json(context), datetime.min)
        known = ledger.known_by_content(writer.connection, [sha256]).get(sha256, [])
        return Look(
            shown,
            _usual(shown, how_to_read(saved, content, settings, replace(given, headings={}))),
            context,
            sha256,
            farms_named(content, context) | ({context.farm} if context.farm else set()),
            ledger.decide(offer, known).standing,
            _rivals(writer.connection, name, sha256, _groups_in(shown.parsed), given.only_farms),
            _difference(writer.connection, given, sha256, shown.parsed),
            pointer.generation if pointer else 0,
        )


def look_at_held(settings: Settings, record: str, by: str | None = None) -> tuple[Held, Difference | None]:
    """A file of the ledger, and what would change if the file `by` replaced it; each named as a record is.

    Raises `WrongUseError` when either is not there, `WarehouseBusyError` while somebody imports.
    """
    with open_writer(settings.home, LOOK_WAIT_SECONDS) as writer:
        connection, pointer = writer.connection, current(writer.places)
        known = corrections.find(connection, record, (*ledger.LIVE, *corrections.REINSTATABLE))
        changes = None
        if by is not None:
            new = corrections.find(connection, by, ledger.LIVE)
            changes = corrections.difference_of(connection, known, new)
        sessions = connection.execute(_SESSIONS, [known.file_id]).fetchall()
        held = Held(
            known.file,
            known.sha256,
            known.record,
            known.context_json,
            known.kind,
            known.status,
            known.rows_accepted,
            tuple((farm, day, int(ewes)) for farm, day, ewes in sessions),
            ledger.copies_of(connection, known),
            _rivals(connection, known.file, known.sha256, _groups_of(connection, known), None),
            pointer.generation if pointer else 0,
        )
        return held, changes


def _usual(shown: Preview, context: Context) -> Mapping[str, str]:
    return read_headings([heading.written for heading in shown.headings], context).recognised


def _groups_in(parsed: Parsed) -> pa.Table:
    """The groups of the sessions that a file holds."""
    if parsed.kind != "scores":
        return _GROUPS.empty_table()
    return parsed.table.group_by(["farm", "scored_on", "group"]).aggregate([]).cast(_GROUPS)


def _groups_of(connection: Connection, known: ledger.Known) -> pa.Table:
    rows = connection.execute(
        'select distinct farm, scored_on, "group" from score_row where file_id = ?', [known.file_id]
    ).fetchall()
    return pa.Table.from_pylist([dict(zip(_GROUPS.names, row, strict=True)) for row in rows], schema=_GROUPS)


def _rivals(
    connection: Connection, name: str, sha256: str, groups: pa.Table, only: Set[str] | None
) -> tuple[Rival, ...]:
    connection.register("offered", groups)
    try:
        shared = {row[1:3]: row for row in connection.execute(_SAME_SESSION, [sha256]).fetchall()}
    finally:
        connection.unregister("offered")
    named = {row[1:3]: row for row in connection.execute(_SAME_NAME, [name, sha256]).fetchall()}
    found = []
    for other in dict.fromkeys((*named, *shared)):
        if corrections.within(connection, other[0], only):  # else not even its name is told
            file, content, told, sessions, ewes = shared.get(other) or (*named[other], 0, 0)
            record = record_name(content, told)
            found.append(Rival(file, record, told, other in named, int(sessions), int(ewes)))
    return tuple(found)


def _difference(connection: Connection, given: Given, sha256: str, parsed: Parsed) -> Difference | None:
    if given.supersede is None:
        return None
    old = corrections.find_replaced(connection, given.supersede, sha256, given.only_farms)
    difference.same_kind(old.kind, parsed.kind)
    return difference.compare(
        difference.rows_of_file(connection, old.file_id, old.kind), parsed.table.to_pylist()
    )
