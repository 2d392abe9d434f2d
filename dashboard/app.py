"""The web application: pages, downloads and style, everything served from this machine."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path
from typing import Any

import flask
from dash import Dash
from dash.development.base_component import Component
from werkzeug.middleware.proxy_fix import ProxyFix

from dashboard import access, data, delivery, downloads, health, kept
from dashboard.accounts import pages as account_pages
from dashboard.accounts import secret, sessions
from dashboard.brief import entry, serving
from dashboard.components.frame import frame
from dashboard.guard import answers, forgery, gate, headers
from dashboard.guard.doors import Doors
from dashboard.intake import routes as intake
from dashboard.meeting import routes as releases
from pipelines.settings import Settings

HERE = Path(__file__).parent
BOOTSTRAP = "/bootstrap.min.css"
# dash's own table, which no page has (the polyfill looks unused too, but no chart is drawn without it)
UNUSED_SCRIPTS = re.compile(r'<script[^>]*src="[^"]*/dash_table/[^"]*"[^>]*></script>\s*')

INDEX = """<!DOCTYPE html>
<html lang="en-GB">
    <head>
        {%metas%}
        <title>{%title%}</title>
        <link rel="icon" type="image/svg+xml" href="/assets/mark.svg">
        {%css%}
    </head>
    <body>
        <noscript>This page needs JavaScript to be switched on.</noscript>
        {%app_entry%}
        {%config%}
        {%scripts%}
        {%renderer%}
    </body>
</html>"""

METAS = [
    {"name": "viewport", "content": "width=device-width, initial-scale=1"},
    {"name": "color-scheme", "content": "light dark"},
]


class _App(Dash):
    """Dash without the scripts that no page needs."""

    def interpolate_index(self, **parts: Any) -> str:  # type: ignore[override]
        parts["scripts"] = UNUSED_SCRIPTS.sub("", parts["scripts"])
        flask.g.script_hashes = self.csp_hashes()
        return str(super().interpolate_index(**parts))  # type: ignore[no-untyped-call]


def create_app(settings: Settings, doors: Doors | None = None) -> Dash:
    """The dashboard of the practice whose data lives in `settings.home`.

    `doors` says to whom it is open; unless given, to this machine's own user. Raises `AccountError` when the
    key that signs sessions cannot be trusted.
    """
    doors = doors or Doors(settings.home)
    app = _App(
        "dashboard",
        use_pages=True,
        pages_folder=str(HERE / "pages"),
        assets_folder=str(HERE / "assets"),
        external_stylesheets=[BOOTSTRAP],
        index_string=INDEX,
        meta_tags=METAS,
        title="Tupping readiness",
        update_title="",
        include_pages_meta=False,  # they repeat the address for sites that preview links
        suppress_callback_exceptions=True,
        enable_mcp=False,
    )
    app.layout = _layout
    server: flask.Flask = app.server
    _guard(app, doors)
    data.attach(server, settings)
    kept.attach(server)
    downloads.attach(server)
    delivery.attach(server)
    health.attach(server)
    server.register_blueprint(serving.blueprint(settings))
    server.register_blueprint(intake.blueprint())
    server.register_blueprint(releases.blueprint())
    server.register_blueprint(entry.blueprint(settings.thin_limit, intake.SESSIONS))
    server.add_url_rule(BOOTSTRAP, "bootstrap", _bootstrap)
    _know_scripts(app)
    return app


def _know_scripts(app: Dash) -> None:
    """Let this process serve every script at once.

    Dash learns which scripts it may serve when it first writes a page. With several processes, one that has
    written none would refuse the scripts of a page that another wrote, and the visitor sees it blank.
    """
    with app.server.test_request_context("/"):
        app.index()  # type: ignore[no-untyped-call]


def _layout() -> Component:
    """The frame as the visitor now asking sees it."""
    asking = access.visitor()
    return frame(None if asking is access.OWNER else asking)


def _guard(app: Dash, doors: Doors) -> None:
    """Sessions, the gate before every request, the fence around every answer."""
    server: flask.Flask = app.server
    server.secret_key = secret.load(doors.home)
    server.config.update(
        SESSION_COOKIE_NAME="__Host-tupping" if doors.proxy else "tupping",
        SESSION_COOKIE_SECURE=doors.proxy,
        SESSION_COOKIE_HTTPONLY=True,
        SESSION_COOKIE_SAMESITE="Lax",
        SESSION_REFRESH_EACH_REQUEST=False,
        PERMANENT_SESSION_LIFETIME=sessions.LONGEST_SECONDS,
    )
    if doors.proxy:
        server.wsgi_app = ProxyFix(server.wsgi_app, x_for=1, x_proto=1, x_host=1)  # type: ignore[method-assign]
    access.attach(server, doors)
    answers.attach(server)
    gate.attach(app, doors)
    account_pages.attach(server, doors.home)
    server.after_request(forgery.lend_token)
    server.after_request(headers.fenced)


def _bootstrap() -> flask.Response:
    """Bootstrap's stylesheet as the PyPI package bootstrap-flask ships it, so no other host is asked."""
    folder = files("flask_bootstrap") / "static" / "bootstrap5" / "css"
    return flask.send_from_directory(str(folder), "bootstrap.min.css", max_age=86_400)
