"""Signing in and out, and seeing whose account it is: three plain pages that need no script."""

from __future__ import annotations

from pathlib import Path
from typing import Final
from urllib.parse import urlsplit

import flask
from flask.typing import ResponseReturnValue

from dashboard import access
from dashboard.accounts import audit, sessions
from dashboard.accounts.account import ROLE_WORDS
from dashboard.accounts.sign_in import Desk, Refusal
from dashboard.guard import answers

SIGN_IN: Final = """
<h1>Sign in</h1>
<p class="lead">To see the flocks of this practice.</p>
{% if trouble %}<p class="trouble" role="alert" id="trouble">{{ trouble }}</p>{% endif %}
<form method="post" action="/sign-in" class="door-form">
  <input type="hidden" name="csrf_token" value="{{ token }}">
  <input type="hidden" name="next" value="{{ next }}">
  <label class="field"><span>Name</span>
    <input name="name" autocomplete="username" autocapitalize="none" spellcheck="false" required autofocus
      maxlength="64" {% if trouble %}aria-describedby="trouble"{% endif %}></label>
  <label class="field"><span>Password</span>
    <input name="password" type="password" autocomplete="current-password" required maxlength="256"></label>
  <button type="submit">Sign in</button>
</form>
<p class="about">No account, or the password is lost? Ask whoever looks after the practice’s machine:
  they can give you a new one.</p>
"""
ACCOUNT: Final = """
<h1>{{ account.name }}</h1>
<p class="lead">Signed in to see {{ sees }}.</p>
{% if listed %}<p>{{ listed_as }}: {{ listed | join(", ") }}.</p>{% endif %}
<form method="post" action="/sign-out" class="door-form">
  <input type="hidden" name="csrf_token" value="{{ token }}">
  <button type="submit">Sign out</button>
</form>
<p><a href="/">Back to the first page</a></p>
"""


def attach(server: flask.Flask, home: Path) -> None:
    """Give `server` the pages to sign in to the practice whose data lives in `home`."""
    desk = Desk(home)

    def sign_in() -> ResponseReturnValue:
        return _try(desk) if flask.request.method == "POST" else _door()

    server.add_url_rule("/sign-in", "sign_in", sign_in, methods=["GET", "POST"])
    server.add_url_rule("/sign-out", "sign_out", _sign_out, methods=["POST"])
    server.add_url_rule("/account", "account", _account)


def local(address: str) -> str:
    """`address` when it leads to a page of ours, else the first page: a link must not lead elsewhere."""
    parts = urlsplit(address)
    ours = address.startswith("/") and not address.startswith(("//", "/\\")) and address.isprintable()
    return address if ours and not (parts.scheme or parts.netloc) else "/"


def _try(desk: Desk) -> ResponseReturnValue:
    form = flask.request.form
    found = desk.admit(form.get("name", "").strip(), form.get("password", ""), access.address())
    if isinstance(found, Refusal):
        response = flask.make_response(_door(found.sentence))
        response.status_code = 429 if found.wait else 401
        if found.wait:
            response.headers["Retry-After"] = str(found.wait)
        return response
    sessions.begin(found)
    return flask.redirect(local(form.get("next", "/")), code=303)


def _sign_out() -> ResponseReturnValue:
    home, asking = access.doors().home, access.visitor()
    if asking is not None and asking is not access.OWNER:
        sessions.end(home)
        audit.note(home, "signed out", asking.name, access.address())
    return flask.redirect("/sign-in", code=303)


def _account() -> ResponseReturnValue:
    asking = access.visitor()
    if asking is None or asking is access.OWNER:
        return flask.redirect("/")
    listed_as = "Farms" if asking.role == "adviser" else "Discussion groups"
    listed = sorted(asking.farms | asking.groups)
    return _page(
        asking.name, ACCOUNT, account=asking, sees=ROLE_WORDS[asking.role], listed=listed, listed_as=listed_as
    )


def _door(trouble: str = "") -> str:
    wanted = flask.request.values.get("next", "/")
    return _page("Sign in", SIGN_IN, trouble=trouble, next=local(wanted))


def _page(title: str, body: str, **values: object) -> str:
    return answers.page(title, flask.render_template_string(body, token=sessions.token(), **values))
