"""Requests that change something must come from our own pages.

Two checks, both needed. The browser itself says where a request comes from (`Sec-Fetch-Site`, or `Origin`
in browsers before 2023), and no page can make it lie. And the request brings the session's token: dash sends
the cookie `_csrf_token` back as the header `X-CSRFToken` of every callback, forms hold it in a field. The
cookie is kept apart from the session's own, which no script can read.
"""

from __future__ import annotations

import hmac

import flask

from dashboard.accounts import sessions
from dashboard.guard.answers import RefusedError

COOKIE = "_csrf_token"
HEADER = "X-CSRFToken"
FIELD = "csrf_token"
SAFE_METHODS = ("GET", "HEAD", "OPTIONS")
STALE = "This page was opened too long ago. Reload it and try again."


def require_own_page() -> None:
    """Refuse the request now handled when it changes something and was not sent by one of our pages."""
    request = flask.request
    if request.method in SAFE_METHODS:
        return
    if not _same_origin():
        raise RefusedError(
            403, "This request did not come from a page of this dashboard, so nothing was done."
        )
    brought = request.headers.get(HEADER) or request.form.get(FIELD, "")
    if not hmac.compare_digest(brought.encode(), sessions.token().encode()):
        raise RefusedError(403, STALE)


def lend_token(response: flask.Response) -> flask.Response:
    """Give our own scripts the token of the session, in a cookie they can read."""
    if "visitor" not in flask.g:  # style and scripts: the same for everybody, and kept by the browser
        return response
    token = flask.session.get(sessions.TOKEN)
    if token and flask.request.cookies.get(COOKIE) != token:
        secure = bool(flask.current_app.config["SESSION_COOKIE_SECURE"])
        response.set_cookie(COOKIE, token, max_age=sessions.LONGEST_SECONDS, secure=secure, samesite="Strict")
    return response


def _same_origin() -> bool:
    headers = flask.request.headers
    if "Sec-Fetch-Site" in headers:
        return headers["Sec-Fetch-Site"] == "same-origin"
    return headers.get("Origin") == flask.request.host_url.rstrip("/")
