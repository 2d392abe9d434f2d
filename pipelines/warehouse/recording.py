"""Recording in the ledger what was read: rows, files, problems, copies. The caller holds the transaction."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

import pyarrow as pa

from pipelines.imports.parsed import FileKind
from pipelines.warehouse import ledger
from pipelines.warehouse.offers import Offer
from pipelines.warehouse.reading import Batch, Read
from pipelines.warehouse.writer import Connection

ROW_TABLES = ("score_row", "register_row", "refused_line")
OF_A_FILE = (*ROW_TABLES, "file_problem")
_INSERT: dict[FileKind, str] = {
    "scores": "insert into score_row by name select * from frame",
    "register": "insert into register_row by name select * from frame",
}
_FILE = pa.schema(
    [
        ("file_id", pa.int64()),
        ("file", pa.string()),
        ("sha256", pa.string()),
        ("kind", pa.string()),
        ("layout", pa.string()),
        ("imported_at", pa.timestamp("us")),
        ("read_as_of", pa.date32()),
        ("context_json", pa.string()),
        ("status", pa.string()),
        ("rows_read", pa.int64()),
        ("rows_accepted", pa.int64()),
        ("rows_refused", pa.int64()),
    ]
)
_LINE = pa.schema(
    [
        ("file_id", pa.int64()),
        ("line", pa.int32()),
        ("farm", pa.string()),
        ("season", pa.int32()),
        ("name", pa.string()),
    ]
)
_PROBLEM = pa.schema(
    [
        ("file_id", pa.int64()),
        ("line", pa.int32()),
        ("column", pa.string()),
        ("code", pa.string()),
        ("severity", pa.string()),
        ("value", pa.string()),
        ("message", pa.string()),
    ]
)


def status_of(read: Read) -> str:
    """Status of a file that was read."""
    if read.kind is None:
        return "refused"
    return "imported_with_problems" if read.problems else "imported"


def insert_rows(connection: Connection, batches: Sequence[Batch]) -> None:
    """Add the accepted rows."""
    insert_tables(connection, "scores", [batch.scores for batch in batches if batch.scores])
    insert_tables(connection, "register", [batch.register for batch in batches if batch.register])


def insert_tables(connection: Connection, kind: FileKind, tables: Sequence[pa.Table]) -> None:
    """Add accepted rows of files of one kind, which begin with their `file_id`."""
    if tables:
        # In many small chunks the database writes the rows twice, and takes twice as long.
        rows = _without_empty(pa.concat_tables(tables)).combine_chunks()
        _insert(connection, _INSERT[kind], rows)
        # what a register says may change any season of a farm, a session only its own and those after it
        names, since = (["farm", "scored_on"], "min(scored_on)") if kind == "scores" else (["farm"], "null")
        changed = f"insert into changed_farm select farm, {since} from frame group by farm"  # noqa: S608
        _insert(connection, changed, rows.select(names))


def _without_empty(rows: pa.Table) -> pa.Table:
    """The columns in which something stands: the database puts null where nothing comes."""
    always = ("farm", "scored_on")
    kept = [name for name in rows.column_names if name in always or rows[name].null_count < rows.num_rows]
    return rows.select(kept)


def file_changed(connection: Connection, file_id: int) -> None:
    """Note that this file and its rows are about to count otherwise; the caller holds the transaction.

    Of the file that it replaced something else is to be said too, as this one's name is told there.
    """
    connection.execute(
        """
        insert into changed_file
        select file from source_file
        where file_id = ? or file_id = (select supersedes from source_file where file_id = ?)
        """,
        [file_id, file_id],
    )
    for table in ROW_TABLES:
        connection.execute(
            f"insert into changed_farm (farm) select distinct farm from {table} where file_id = ?",  # noqa: S608
            [file_id],
        )


def insert_files(
    connection: Connection, reads: Sequence[Read], offers: Mapping[int, tuple[Offer, str]]
) -> None:
    """Add ledger rows and problems; `offers` gives offer and SHA-256 by ledger number."""
    insert_ledger(connection, reads, offers)
    insert_problems(connection, reads)


def insert_ledger(
    connection: Connection, reads: Sequence[Read], offers: Mapping[int, tuple[Offer, str]]
) -> None:
    """Add ledger rows alone."""
    files = [_file_row(read, *offers[read.file_id]) for read in reads]
    rows = pa.Table.from_pylist(files, schema=_FILE)
    _insert(connection, "insert into source_file by name select * from frame", rows)
    _insert(connection, "insert into changed_file select file from frame", rows.select(["file"]))


def insert_problems(connection: Connection, reads: Sequence[Read]) -> None:
    """Add what was wrong with these files."""
    problems = [row for read in reads for row in _problem_rows(read)]
    if problems:
        _insert(
            connection,
            "insert into file_problem by name select * from frame",
            pa.Table.from_pylist(problems, schema=_PROBLEM),
        )
    _insert_refused_lines(connection, reads)


def _insert_refused_lines(connection: Connection, reads: Sequence[Read]) -> None:
    """Note whose the refused lines of registers are: it changes what is to be said of those farms."""
    lines = {
        (read.file_id, problem.line, problem.of.farm, problem.of.season, problem.of.name): None
        for read in reads
        for problem in read.problems
        if problem.of
    }
    if lines:
        rows = pa.Table.from_pylist([dict(zip(_LINE.names, line, strict=True)) for line in lines], _LINE)
        _insert(connection, "insert into refused_line by name select * from frame", rows)
        farms = rows.select(["farm"])
        _insert(connection, "insert into changed_farm (farm) select distinct farm from frame", farms)


def replace_reading(connection: Connection, read: Read, offer: Offer) -> None:
    """Put a new reading of the same bytes in the place of the old one, all but its rows, which follow."""
    forget_rows(connection, read.file_id)
    restate(connection, read, offer)
    insert_problems(connection, [read])


def forget_rows(connection: Connection, file_id: int) -> None:
    """Remove the rows and problems of a file that is read anew."""
    file_changed(connection, file_id)
    for table in OF_A_FILE:
        connection.execute(f"delete from {table} where file_id = ?", [file_id])  # noqa: S608 names above


def restate(connection: Connection, read: Read, offer: Offer) -> None:
    """Change what the ledger says of a file to what this reading made of it."""
    connection.execute(
        """
        update source_file set kind = ?, layout = ?, read_as_of = ?, context_json = ?, status = ?,
            rows_read = ?, rows_accepted = ?, rows_refused = ?
        where file_id = ?
        """,
        [
            read.kind,
            read.layout,
            offer.context.today,
            offer.told,
            status_of(read),
            read.rows_read,
            read.rows_accepted,
            read.rows_refused,
            read.file_id,
        ],
    )


def _file_row(read: Read, offer: Offer, sha256: str) -> dict[str, object]:
    return {
        "file_id": read.file_id,
        "file": offer.file,
        "sha256": sha256,
        "kind": read.kind,
        "layout": read.layout,
        "imported_at": offer.offered_at,
        "read_as_of": offer.context.today,
        "context_json": offer.told,
        "status": status_of(read),
        "rows_read": read.rows_read,
        "rows_accepted": read.rows_accepted,
        "rows_refused": read.rows_refused,
    }


def _problem_rows(read: Read) -> list[dict[str, object]]:
    return [
        {
            "file_id": read.file_id,
            "line": problem.line,
            "column": problem.column,
            "code": problem.code,
            "severity": problem.severity,
            "value": problem.value,
            "message": problem.message,
        }
        for problem in read.problems
    ]


def _insert(connection: Connection, sql: str, frame: pa.Table) -> None:
    # The database keeps what was registered until its transaction ends; a reader that was read to its end
    # no longer holds the rows
    connection.register("frame", pa.RecordBatchReader.from_batches(frame.schema, iter(frame.to_batches())))
    try:
        connection.execute(sql)
    finally:
        connection.unregister("frame")


def record_duplicate(connection: Connection, offer: Offer, sha256: str) -> None:
    """Note one more name of content that counts already; the caller holds the transaction.

    The copy whose name sorts first is the one that counts, so that the order of import does not matter: a
    name that sorts before the holder's changes places with it, and no row needs to move.
    """
    same_content = ledger.known_by_content(connection, [sha256])[sha256]
    holder = ledger.holder_of(offer, same_content)
    if holder is None or offer.file in {known.file for known in same_content}:
        return
    names = [(offer.file, offer.offered_at), _name_of(connection, holder.file_id)]
    first, second = sorted(names, key=lambda named: named[0])
    if first != names[1]:  # which of a ewe's lines counts depends on the names of the files
        file_changed(connection, holder.file_id)
    connection.execute(
        "update source_file set file = ?, imported_at = ? where file_id = ?", [*first, holder.file_id]
    )
    connection.execute(
        """
        insert into source_file
        select ?, ?, sha256, kind, layout, ?, read_as_of, context_json, 'duplicate', 0, 0, 0, null, null
        from source_file where file_id = ?
        """,
        [ledger.next_file_id(connection), *second, holder.file_id],
    )
    connection.execute("insert into changed_file values (?)", [offer.file])


def _name_of(connection: Connection, file_id: int) -> tuple[str, object]:
    ((file, imported_at),) = connection.execute(
        "select file, imported_at from source_file where file_id = ?", [file_id]
    ).fetchall()
    return file, imported_at
