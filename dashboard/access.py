"""Who may see which farms and do what. Decided here once and handed to the data layer, never in a callback.

The gate (`dashboard.guard.gate`) puts the visitor into every request; where it did not, nothing may be seen.
"""

from __future__ import annotations

from collections.abc import Set as AbstractSet
from typing import Literal, get_args

import flask

from dashboard.accounts import audit
from dashboard.accounts.account import Account, Role
from dashboard.guard.answers import RefusedError
from dashboard.guard.doors import Doors

Scope = AbstractSet[str] | None
"""Farm codes a visitor may see; None is every farm of the practice."""

Action = Literal[
    "import",
    "withdraw",
    "retag",
    "release",
    "withdraw release",
    "open release",
    "export",
    "draw list",
    "brief",
    "calendar",
]

EXTENSION = "tupping-doors"
OWNER = Account("this-machine", "practice")
"""Whoever uses the machine itself while there are no accounts."""

NOTHING: frozenset[str] = frozenset()
_MAY: dict[Role, frozenset[Action]] = {
    "practice": frozenset(get_args(Action)),
    "adviser": frozenset({"import", "retag", "export", "draw list", "brief", "calendar"}),
    "member": frozenset({"open release"}),
}


def attach(server: flask.Flask, doors: Doors) -> None:
    """Tell `server` to whom it is open."""
    server.extensions[EXTENSION] = doors


def doors() -> Doors:
    """To whom the server now asked is open."""
    found: Doors = flask.current_app.extensions[EXTENSION]
    return found


def visitor() -> Account | None:
    """Who is asking; None when nobody signed in."""
    found: Account | None = flask.g.get("visitor")
    return found


def scope() -> Scope:
    """The farms the visitor now asking may see."""
    asking = visitor()
    if asking is None:
        return NOTHING
    return None if asking.role == "practice" else asking.farms


def groups() -> Scope:
    """The discussion groups whose releases the visitor may see; None is all of them."""
    asking = visitor()
    if asking is None:
        return NOTHING
    return None if asking.role == "practice" else asking.groups


def may(action: Action) -> bool:
    """Whether the visitor's role includes `action`."""
    asking = visitor()
    return asking is not None and action in _MAY[asking.role]


def begin(action: Action, **details: str) -> None:
    """Record that the visitor does `action`, before it is done.

    Raises `RefusedError` when it is not theirs to do, `OSError` when it cannot be recorded.
    """
    asking = visitor()
    if asking is None or not may(action):
        raise RefusedError(403, f"Your account does not include this ({action}). Ask the practice.")
    audit.note(doors().home, action, asking.name, address(), **details)


def address() -> str:
    """Where the request now handled came from."""
    return flask.request.remote_addr or "unknown"
