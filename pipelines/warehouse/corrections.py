"""Explicit corrections: a file replaced, withdrawn or brought back, a ewe given a new tag. History stays."""

from __future__ import annotations

from collections.abc import Sequence, Set
from datetime import date, datetime

from pipelines.warehouse import difference, journal, ledger, recording
from pipelines.warehouse.alike import did_you_mean
from pipelines.warehouse.difference import Difference
from pipelines.warehouse.errors import GivenTwiceError, WrongUseError
from pipelines.warehouse.ledger import LIVE, Known
from pipelines.warehouse.offers import RECORD, what_was_told
from pipelines.warehouse.writer import Connection, Writer, transaction

_SHORTEST_SHA256 = 8


def find(
    connection: Connection, wanted: str, statuses: tuple[str, ...], scored_on: date | None = None
) -> Known:
    """The ledger row of a file, named by its name, by the first letters of its SHA-256 or as `Known.record`.

    `scored_on`: the day that was given with it, which tells apart the same bytes given with several.
    Raises `WrongUseError` when there is none, or more than one.
    """
    named = ledger.known_by_name(connection, wanted)
    if not named and len(wanted) >= _SHORTEST_SHA256:
        named = _named_as(wanted, ledger.known_by_sha256(connection, _content(wanted)))
    found = [known for known in named if known.status in statuses]
    if scored_on:
        found = [known for known in found if what_was_told(known.context_json)[1] == scored_on.isoformat()]
    if len(found) == 1:
        return found[0]
    if found:
        choices = ", ".join(_told_apart(known) for known in found)
        if len({known.sha256 for known in found}) == 1:
            raise GivenTwiceError(
                f"{found[0].file} was imported more than once, with another day each time. Choose one in the "
                f'list of files, or name it: tupping withdraw "{found[0].file}" --date DAY ({choices})'
            )
        raise WrongUseError(f"several files are called '{wanted}': name one by its SHA-256 ({choices})")
    raise WrongUseError(_why_not(connection, wanted, named))


def _content(wanted: str) -> str:
    """The SHA-256 in the name of a record."""
    return wanted.partition(".")[0]


def _named_as(wanted: str, rows: Sequence[Known]) -> list[Known]:
    """Of `rows` those that the name of a record means; all of them, where it is another name."""
    return [known for known in rows if known.record == wanted or not RECORD.fullmatch(wanted)]


def _told_apart(known: Known) -> str:
    """A file's checksum, and the day that was given with it."""
    told = what_was_told(known.context_json)[1]
    return f"{known.sha256[:12]} of {told}" if told else known.sha256[:12]


def _why_not(connection: Connection, wanted: str, named: Sequence[Known]) -> str:
    """Why no file of this name can be changed as was asked."""
    if not named:
        return f"no file '{wanted}' was ever imported. See the names with: tupping export import_file"
    latest = named[-1]
    if latest.status == "duplicate":
        same = ledger.known_by_content(connection, [latest.sha256])[latest.sha256]
        return f"'{wanted}' is a copy of '{same[0].file}': name that one, and its copies go with it"
    if latest.status in REINSTATABLE:
        became = "withdrawn" if latest.status == "withdrawn" else "replaced by a corrected file"
        return f"'{wanted}' was {became}; tupping withdraw --undo \"{wanted}\" brings it back"
    return f"'{wanted}' was neither withdrawn nor replaced, so there is nothing to undo"


def find_replaced(
    connection: Connection, wanted: str, new_sha256: str, only_farms: Set[str] | None = None
) -> Known:
    """The ledger row that a corrected file is to replace, or has replaced in a run that was interrupted.

    Raises `WrongUseError` as `find` does; a file with rows of farms beyond `only_farms` is not there.
    """
    known = _replaced(connection, wanted, new_sha256)
    if not within(connection, known.sha256, only_farms):
        raise WrongUseError(f"no file '{wanted}' among those of your farms")
    return known


def within(connection: Connection, sha256: str, only_farms: Set[str] | None) -> bool:
    """Whether a content is of these farms alone; one without any row that counts is the practice's."""
    if only_farms is None:
        return True
    farms = _farms_of(connection, sha256)
    return bool(farms) and farms <= only_farms


def _farms_of(connection: Connection, sha256: str) -> frozenset[str]:
    """The farms that a content has rows of, under whichever name it came."""
    named = " union ".join(f"select file_id, farm from {table}" for table in recording.ROW_TABLES)  # noqa: S608
    rows = connection.execute(
        f"select distinct r.farm from source_file f join ({named}) r on r.file_id = f.file_id "  # noqa: S608
        "where f.sha256 = ?",
        [sha256],
    ).fetchall()
    return frozenset(farm for (farm,) in rows)


def _replaced(connection: Connection, wanted: str, new_sha256: str) -> Known:
    replaced = connection.execute(
        """
        select old.file_id from source_file old join source_file new on new.supersedes = old.file_id
        where new.sha256 = ? and (old.file = ? or starts_with(old.sha256, ?))
        """,
        [new_sha256, wanted, _content(wanted)],
    ).fetchall()
    if known := _named_as(wanted, [ledger.known_by_id(connection, file_id) for (file_id,) in replaced]):
        return known[0]
    return find(connection, wanted, LIVE)


def supersede(writer: Writer, old: Known, new: Known) -> Difference:
    """Let `new` count in the place of `old`, and say what that changes.

    Raises `WrongUseError` when they are the same content or of different kinds.
    """
    changes = difference_of(writer.connection, old, new)
    if old.status != "superseded":
        _record(writer, {"event": "supersede", "old": _naming(old), "new": _naming(new)})
    return changes


def difference_of(connection: Connection, old: Known, new: Known) -> Difference:
    """What changes when `new` counts in the place of `old`.

    Raises `WrongUseError` when they are the same content or of different kinds.
    """
    if old.sha256 == new.sha256:
        raise WrongUseError(f"{new.file} has the same content as {old.file}: there is nothing to replace")
    difference.same_kind(old.kind, new.kind)
    return difference.compare(
        difference.rows_of_file(connection, old.file_id, old.kind),
        difference.rows_of_file(connection, new.file_id, new.kind),
    )


def withdraw(writer: Writer, file: Known, at: datetime) -> None:
    """Let the rows of a file (and of every copy of it) count no more."""
    _record(writer, {"event": "withdraw", "file": _naming(file), "at": at.isoformat()})


def reinstate(writer: Writer, file: Known) -> None:
    """Bring back a file that was withdrawn or replaced."""
    _record(writer, {"event": "reinstate", "file": _naming(file)})


def retag(writer: Writer, farm: str, old: str, new: str, noted_on: date) -> bool:
    """Record that a ewe wears a new tag; false when that is known already.

    Raises `WrongUseError` for the same tag twice, or when the new tag was itself replaced by the old one.
    """
    if old == new:
        raise WrongUseError("the old and the new tag are the same")
    if _leads_to(writer.connection, farm, new, old):
        raise WrongUseError(f"on {farm} the tag {new} was itself replaced by {old}: nothing was recorded")
    known = writer.connection.execute(
        "select new_ewe from retag where farm = ? and old_ewe = ?", [farm, old]
    ).fetchall()
    if known == [(new,)]:
        return False
    if known:
        raise WrongUseError(f"on {farm} the tag {old} was already replaced by {known[0][0]}")
    _record(
        writer,
        {"event": "retag", "farm": farm, "old": old, "new": new, "noted_on": noted_on.isoformat()},
    )
    return True


def meant_farm(connection: Connection, farm: str) -> str:
    """A question naming the farms that may be meant, where nothing has come of this one; else nothing."""
    found = connection.execute(
        "select farm, coalesce(max(name), '') from register_row group by farm "
        "union all select distinct farm, '' from score_row where farm not in (select farm from register_row)"
    )
    names = dict(found.fetchall())
    return "" if farm in names else did_you_mean(farm, names)


def was_scored(connection: Connection, farm: str, ewe: str) -> bool:
    """Whether any imported row is of this ewe under this tag, or she was given it by an earlier retag."""
    found = connection.execute(
        "select 1 from score_row where farm = ? and ewe = ? "
        "union all select 1 from retag where farm = ? and new_ewe = ? limit 1",
        [farm, ewe, farm, ewe],
    )
    return bool(found.fetchall())


def _leads_to(connection: Connection, farm: str, start: str, end: str) -> bool:
    pairs = dict(connection.execute("select old_ewe, new_ewe from retag where farm = ?", [farm]).fetchall())
    while start in pairs:
        start = pairs[start]
        if start == end:
            return True
    return False


def _naming(known: Known) -> list[str]:
    return [known.sha256, known.context_json]


def _record(writer: Writer, entry: journal.Entry) -> None:
    journal.append(writer.places.journal, [entry])
    with transaction(writer.connection):
        replay(writer, entry)


def replay(writer: Writer, entry: journal.Entry) -> None:
    """Do what an entry of the journal says, once or twice alike; the caller holds the transaction."""
    connection = writer.connection
    match entry["event"]:
        case "supersede":
            old, new = _numbered(connection, entry["old"]), _numbered(connection, entry["new"])
            recording.file_changed(connection, old)
            recording.file_changed(connection, new)
            connection.execute("update source_file set status = 'superseded' where file_id = ?", [old])
            connection.execute("update source_file set supersedes = ? where file_id = ?", [old, new])
        case "withdraw":
            file_id = _numbered(connection, entry["file"])
            recording.file_changed(connection, file_id)
            connection.execute(
                "update source_file set status = 'withdrawn', withdrawn_at = ? where file_id = ?",
                [datetime.fromisoformat(entry["at"]), file_id],
            )
        case "reinstate":
            _reinstate(connection, _numbered(connection, entry["file"]))
        case "retag":
            connection.execute(
                "insert into retag select ?, ?, ?, ? where not exists "
                "(select 1 from retag where farm = ? and old_ewe = ?)",
                [entry["farm"], entry["old"], entry["new"], entry["noted_on"], entry["farm"], entry["old"]],
            )
            connection.execute("insert into changed_farm (farm) values (?)", [entry["farm"]])


def _numbered(connection: Connection, naming: list[str]) -> int:
    """The ledger row that holds this content, read with this context."""
    sha256, context = naming
    held = [
        k for k in ledger.known_by_content(connection, [sha256]).get(sha256, []) if k.status != "duplicate"
    ]
    same = [known for known in held if known.context_json == context]
    if not held:
        raise WrongUseError(f"the ledger has no file with the content {sha256[:12]}")
    return (same or held)[0].file_id


def _reinstate(connection: Connection, file_id: int) -> None:
    recording.file_changed(connection, file_id)
    connection.execute(
        """
        update source_file set withdrawn_at = null, status = case
            when kind is null then 'refused'
            when exists (select 1 from file_problem p where p.file_id = source_file.file_id)
            then 'imported_with_problems' else 'imported' end
        where file_id = ?
        """,
        [file_id],
    )
    connection.execute("update source_file set supersedes = null where supersedes = ?", [file_id])


WITHDRAWABLE = LIVE
REINSTATABLE = ("withdrawn", "superseded")
