"""The phone-sized page to enter a session at the race, served with all that it needs out of signal."""

from __future__ import annotations

from functools import cache
from html import escape
from importlib.resources import files

import flask

from pipelines.statistics.stopping import stopping_rule

LONGEST_RULE = 300  # ewes; a group that is not told apart by then is near the limit, and is scored to the end
_TYPES = {
    ".html": "text/html",
    ".css": "text/css",
    ".js": "text/javascript",
    ".svg": "image/svg+xml",
    ".webmanifest": "application/manifest+json",
}
_NAMES = ("entry.css", "entry.js", "record.js", "store.js", "worker.js", "manifest.webmanifest", "icon.svg")
_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self'; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


def blueprint(thin_limit: float, import_address: str | None = None) -> flask.Blueprint:
    """The entry page at `/enter/`. `import_address` takes a POSTed file, where the server offers that."""
    pages = flask.Blueprint("enter", __name__, url_prefix="/enter")
    pages.add_url_rule("/", "page", lambda: _answer(_page(import_address), ".html"))
    pages.add_url_rule("/stopping.json", "stopping", lambda: flask.jsonify(_stopping(thin_limit)))
    pages.add_url_rule("/<name>", "part", _part)
    pages.after_request(_guarded)
    return pages


def _part(name: str) -> flask.Response:
    if name not in _NAMES:
        flask.abort(404)
    return _answer(_read(name), name[name.rindex(".") :])


def _page(import_address: str | None) -> str:
    page = _read("index.html")
    if import_address is None:
        return page
    told = f'<meta name="import-address" content="{escape(import_address)}">\n</head>'
    return page.replace("</head>", told, 1)


def _answer(text: str, ending: str) -> flask.Response:
    return flask.Response(text, content_type=f"{_TYPES[ending]}; charset=utf-8")


def _guarded(response: flask.Response) -> flask.Response:
    response.headers["Content-Security-Policy"] = _POLICY
    response.headers["X-Content-Type-Options"] = "nosniff"
    response.headers["Cache-Control"] = "no-cache"  # the service worker keeps it; a browser should ask again
    return response


@cache  # the file is part of the program
def _read(name: str) -> str:
    return (files("dashboard.brief") / "entry_page" / name).read_text(encoding="utf-8")


@cache  # a second's work whose answer never changes
def _stopping(thin_limit: float) -> dict[str, object]:
    """The stopping rule for a flock of any size: numbers thin after n ewes, n = 0 … LONGEST_RULE."""
    rule = stopping_rule(thin_limit, None, most=LONGEST_RULE)
    return {"limit": thin_limit, "over": rule.over.tolist(), "under": rule.under.tolist()}
