"""A visitor's session: a signed cookie that ends when idle, after a working day, or when signed out.

The cookie is readable by the server alone (`HttpOnly`), sent to it alone (`SameSite=Lax`), and over TLS only
where there is TLS. Signing in begins a new session, so that one planted beforehand is worth nothing.
"""

from __future__ import annotations

import secrets
import time
from pathlib import Path

from flask import session

from dashboard.accounts import database, store
from dashboard.accounts.account import Account

IDLE_SECONDS = 2 * 60 * 60
LONGEST_SECONDS = 12 * 60 * 60
_RENEW_SECONDS = 60
TOKEN = "token"


def begin(account: Account) -> None:
    """Begin a new session for `account`."""
    session.clear()
    now = time.time()
    session.update(id=secrets.token_hex(16), name=account.name, stamp=account.stamp, began=now, seen=now)
    token()


def token() -> str:
    """The session's token, which every request that changes something must bring along."""
    if TOKEN not in session:
        session[TOKEN] = secrets.token_urlsafe(24)
        session.permanent = True
    return str(session[TOKEN])


def holder(home: Path) -> Account | None:
    """Whose session this is; None when nobody signed in, or the session has ended."""
    if "name" not in session:
        return None
    found = store.find(home, str(session["name"]))
    if found is None or found[0].stamp != session.get("stamp") or _over() or _ended(home):
        session.clear()
        return None
    return found[0]


def renew() -> None:
    """Note that the visitor is still here, once a minute at most."""
    now = time.time()
    if now - float(session.get("seen", 0)) > _RENEW_SECONDS:
        session["seen"] = now


def end(home: Path) -> None:
    """End the session for good: a copy of its cookie is worth nothing either."""
    now = time.time()
    with database.connected(home) as connection:
        connection.execute("delete from ended_session where until < ?", [now])
        connection.execute(
            "insert or ignore into ended_session values (?, ?)",
            [str(session.get("id", "")), now + LONGEST_SECONDS],
        )
    session.clear()


def _over() -> bool:
    now = time.time()
    idle, age = now - float(session.get("seen", 0)), now - float(session.get("began", 0))
    return idle > IDLE_SECONDS or age > LONGEST_SECONDS


def _ended(home: Path) -> bool:
    with database.connected(home) as connection:
        query = "select 1 from ended_session where session = ?"
        return connection.execute(query, [str(session.get("id", ""))]).fetchone() is not None
