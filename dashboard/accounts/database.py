"""The small SQLite file that holds accounts, counted guesses and ended sessions: `HOME/accounts.sqlite`.

Every migration is one transaction with its number, so that a newer program opens an older file; an older
program refuses a newer one.
"""

from __future__ import annotations

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path

from dashboard.accounts.account import AccountError
from pipelines.warehouse.durable import make_private
from pipelines.warehouse.places import Places

_BUSY_SECONDS = 5.0
_MIGRATIONS = (
    """
    create table account (
        key text primary key, name text not null, password text not null, stamp text not null,
        role text not null check (role in ('practice', 'adviser', 'member')), added_at text not null
    );
    create table account_farm (
        account text not null references account (key) on delete cascade, farm text not null,
        primary key (account, farm)
    );
    create table account_group (
        account text not null references account (key) on delete cascade, discussion_group text not null,
        primary key (account, discussion_group)
    );
    create table guesses (subject text primary key, since real not null, number integer not null);
    create table ended_session (session text primary key, until real not null);
    """,
)


@contextmanager
def connected(home: Path) -> Iterator[sqlite3.Connection]:
    """A connection of its own, each statement its own transaction unless `begin` is said.

    Raises `AccountError` when the file was made by a newer program.
    """
    path = Places(home).accounts
    if not path.exists():
        make_private(home)
        path.touch(mode=0o600)
    with closing(sqlite3.connect(path, timeout=_BUSY_SECONDS, isolation_level=None)) as connection:
        connection.execute("pragma foreign_keys = on")
        _migrate(connection, path)
        yield connection


def exists(home: Path) -> bool:
    """Whether any account was ever added."""
    return Places(home).accounts.exists()


def _migrate(connection: sqlite3.Connection, path: Path) -> None:
    newest = len(_MIGRATIONS)
    if _version(connection) == newest:
        return
    connection.execute("begin immediate")  # another process may be migrating: look again once it is done
    version = _version(connection)
    if version > newest:
        raise AccountError(
            f"{path} was written by a newer version of this program: update it, or name another --home"
        )
    for number in range(version, newest):
        for statement in _MIGRATIONS[number].split(";"):
            connection.execute(statement)
    connection.execute(f"pragma user_version = {newest:d}")
    connection.execute("commit")


def _version(connection: sqlite3.Connection) -> int:
    (version,) = connection.execute("pragma user_version").fetchone()
    return int(version)
