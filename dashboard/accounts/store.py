"""Adding, finding and changing accounts."""

from __future__ import annotations

import secrets
import sqlite3
import unicodedata
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import TypeVar

from dashboard.accounts import database, passwords
from dashboard.accounts.account import Account, AccountError, require_fit_password

T = TypeVar("T")
_ONE = "select name, role, stamp, key, password from account where key = ?"
_ALL = "select name, role, stamp, key, password from account order by role, key"
_FARMS = "select farm from account_farm where account = ?"
_GROUPS = "select discussion_group from account_group where account = ?"


def key_of(name: str) -> str:
    """What makes two ways of writing a name the same account."""
    return unicodedata.normalize("NFKC", name).casefold()


def any_account(home: Path) -> bool:
    """Whether there is any account, so that visitors must sign in."""
    return _asked(home, False, lambda connection: _count(connection, "%") > 0)


def any_practice_account(home: Path) -> bool:
    """Whether there is an account that may see everything, which serving to others needs."""
    return _asked(home, False, lambda connection: _count(connection, "practice") > 0)


def find(home: Path, name: str) -> tuple[Account, str] | None:
    """The account of this name, however it is capitalised, and its kept password."""

    def ask(connection: sqlite3.Connection) -> tuple[Account, str] | None:
        row = connection.execute(_ONE, [key_of(name)]).fetchone()
        return (_account(connection, row), row[4]) if row else None

    return _asked(home, None, ask)


def every(home: Path) -> list[Account]:
    """All accounts, by role and name."""
    none: list[Account] = []
    return _asked(home, none, lambda db: [_account(db, row) for row in db.execute(_ALL).fetchall()])


def add(home: Path, account: Account, password: str) -> None:
    """Keep a new account. Raises `AccountError` when the name is taken or the password unfit."""
    require_fit_password(password, account.name)
    key, kept = key_of(account.name), passwords.hashed(password)
    now = datetime.now(UTC).isoformat(timespec="seconds")
    with database.connected(home) as connection:
        connection.execute("begin immediate")
        try:
            connection.execute(
                "insert into account (key, name, password, stamp, role, added_at) values (?, ?, ?, ?, ?, ?)",
                [key, account.name, kept, secrets.token_hex(8), account.role, now],
            )
        except sqlite3.IntegrityError as error:
            raise AccountError(
                f"there is an account {account.name} already: choose another name, or remove that one first"
            ) from error
        connection.executemany("insert into account_farm values (?, ?)", [(key, f) for f in account.farms])
        connection.executemany("insert into account_group values (?, ?)", [(key, g) for g in account.groups])
        connection.execute("commit")


def remove(home: Path, name: str) -> None:
    """Forget an account; its sessions end at once.

    Raises `AccountError` when there is none of that name, or when it is the last practice account while
    others remain: nobody could see the practice as a whole any more.
    """
    account = known(home, name)
    others = [other for other in every(home) if key_of(other.name) != key_of(name)]
    if account.role == "practice" and others and not any(other.role == "practice" for other in others):
        raise AccountError(
            f"{account.name} is the last practice account: add another one first, or remove the others first"
        )
    with database.connected(home) as connection:
        connection.execute("delete from account where key = ?", [key_of(name)])


def set_password(home: Path, name: str, password: str) -> None:
    """Give an account a new password; its sessions end, and guesses counted against it are forgotten."""
    require_fit_password(password, known(home, name).name)
    keep_password(home, name, password, secrets.token_hex(8))
    with database.connected(home) as connection:
        connection.execute("delete from guesses where subject = ?", [f"account {key_of(name)}"])


def keep_password(home: Path, name: str, password: str, stamp: str) -> None:
    """Write the password of an account, hashed at today's cost."""
    with database.connected(home) as connection:
        connection.execute(
            "update account set password = ?, stamp = ? where key = ?",
            [passwords.hashed(password), stamp, key_of(name)],
        )


def known(home: Path, name: str) -> Account:
    """The account of this name. Raises `AccountError` when there is none."""
    found = find(home, name)
    if found is None:
        raise AccountError(f"there is no account {name}: tupping account list names them")
    return found[0]


def _asked(home: Path, nothing: T, ask: Callable[[sqlite3.Connection], T]) -> T:
    """The answer, or `nothing` where no file was made yet: asking must not make one."""
    if not database.exists(home):
        return nothing
    with database.connected(home) as connection:
        return ask(connection)


def _count(connection: sqlite3.Connection, role: str) -> int:
    (number,) = connection.execute("select count(*) from account where role like ?", [role]).fetchone()
    return int(number)


def _account(connection: sqlite3.Connection, row: tuple[str, ...]) -> Account:
    name, role, stamp, key, _ = row
    farms = frozenset(farm for (farm,) in connection.execute(_FARMS, [key]))
    groups = frozenset(group for (group,) in connection.execute(_GROUPS, [key]))
    return Account(name, role, farms, groups, stamp)  # type: ignore[arg-type]
