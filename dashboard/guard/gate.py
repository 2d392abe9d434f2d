"""Every request passes here first: who asks, may they come in, and did one of our own pages send it."""

from __future__ import annotations

from typing import Final
from urllib.parse import urlencode

import flask
import werkzeug
from dash import Dash
from flask.typing import ResponseReturnValue
from werkzeug.sansio.utils import host_is_trusted

from dashboard import access
from dashboard.accounts import sessions
from dashboard.accounts.account import Account
from dashboard.guard import forgery
from dashboard.guard.answers import SENTENCES, RefusedError, for_script
from dashboard.guard.doors import Doors
from dashboard.guard.record import require_recorded

LARGEST_UPLOAD = 32_000_000
LARGEST_SIGN_IN = 20_000
MACHINE_NAMES = ("localhost", "127.0.0.1", "[::1]")
SIGN_IN = "sign_in"
CALLBACK = "/_dash-update-component"
# Program code and style, and what a machine that watches over this one asks: the same for everybody.
OPEN_TO_ALL: Final = frozenset(
    {
        "_dash_assets.static",
        "bootstrap",
        "health",
        "/_favicon.ico",
        # The page to enter scores at the race holds no figure and must open when the session has ended
        # and there is no signal.
        "enter.page",
        "enter.part",
        "enter.stopping",
    }
)
PAGES: Final = frozenset({"/", "/<path:path>"})
FOR_MEMBERS: Final = frozenset({"account", SIGN_IN, "sign_out"})
RELEASES: Final = "release."
MEMBERS_FIRST_PAGE: Final = "/release"
EVERYBODYS_CHANGES: Final = frozenset({CALLBACK, SIGN_IN, "sign_out"})
# Each of them is held to the adviser's own farms where the file's rows are known: in the warehouse.
ADVISERS_CHANGES: Final = frozenset({"intake.offer", "intake.take", "intake.send", "intake.retag"})


def attach(app: Dash, doors: Doors) -> None:
    """Let every request to `app` pass through the gate."""
    server: flask.Flask = app.server
    server.config["MAX_CONTENT_LENGTH"] = LARGEST_UPLOAD

    @server.before_request
    def admit() -> ResponseReturnValue | None:
        if flask.request.endpoint in OPEN_TO_ALL:
            return None
        if flask.request.endpoint == SIGN_IN:
            flask.request.max_content_length = LARGEST_SIGN_IN
        flask.g.visitor = _visitor(doors)
        if flask.g.visitor is None and flask.request.endpoint != SIGN_IN:
            return _to_sign_in()
        forgery.require_own_page()
        if flask.request.endpoint == CALLBACK:
            _require_known_callback(app)
        if flask.request.endpoint in PAGES and _is_member():
            return flask.redirect(MEMBERS_FIRST_PAGE)
        _require_role()
        require_recorded()
        sessions.token()
        sessions.renew()
        return None


def _visitor(doors: Doors) -> Account | None:
    """Who asks. While nobody has to sign in, only the machine's own names are answered to: another site
    could give itself the address 127.0.0.1 to read what is shown here."""
    if doors.must_sign_in():
        return sessions.holder(doors.home)
    if not host_is_trusted(flask.request.host, MACHINE_NAMES):
        raise RefusedError(400, "This dashboard answers to localhost and 127.0.0.1 only.")
    return access.OWNER


def _to_sign_in() -> werkzeug.Response:
    if flask.request.method not in forgery.SAFE_METHODS or for_script():
        raise RefusedError(401, "You are signed out. Sign in, then try again.")
    wanted = flask.request.full_path.rstrip("?")
    return flask.redirect("/sign-in" + (f"?{urlencode({'next': wanted})}" if wanted != "/" else ""))


def _is_member() -> bool:
    """Whether a member asks, who gets none of the application and nothing it consists of."""
    asking = access.visitor()
    return asking is not None and asking.role == "member"


def _require_role() -> None:
    """A member gets nothing but releases and the own account; an adviser brings files of their own farms;
    nobody but the practice changes anything else. New addresses are closed to others until named here."""
    asking, endpoint = access.visitor(), flask.request.endpoint or ""
    if asking is None or asking.role == "practice":
        return
    theirs = EVERYBODYS_CHANGES | (ADVISERS_CHANGES if asking.role == "adviser" else frozenset())
    changes = flask.request.method not in forgery.SAFE_METHODS and endpoint not in theirs
    beyond = _is_member() and endpoint not in FOR_MEMBERS and not endpoint.startswith(RELEASES)
    if changes or beyond:
        raise RefusedError(403, SENTENCES[403])


def _require_known_callback(app: Dash) -> None:
    """Refuse a body that dash could not have sent, in words rather than by a failure further on."""
    try:
        body = flask.request.get_json()
    except RecursionError:
        body = None
    if not isinstance(body, dict) or body.get("output") not in [*app.callback_map]:
        raise RefusedError(400, SENTENCES[400])
    if not all(isinstance(body.get(part, []), list) for part in ("inputs", "state", "changedPropIds")):
        raise RefusedError(400, SENTENCES[400])
    if not all(map(_well_formed, [*body.get("inputs", []), *body.get("state", [])])):
        raise RefusedError(400, SENTENCES[400])


def _well_formed(given: object) -> bool:
    """Whether one input of a callback could have come from dash: it names a property, and a path is one."""
    if isinstance(given, list):  # a pattern that several components match
        return all(map(_well_formed, given))
    if not isinstance(given, dict) or not isinstance(given.get("property"), str) or "id" not in given:
        return False
    return given["property"] != "pathname" or str(given.get("value")).startswith("/")
