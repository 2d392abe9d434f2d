"""The web application: pages, downloads and style, everything served from this machine."""

from __future__ import annotations

import re
from importlib.resources import files
from pathlib import Path
from typing import Any

import flask
from dash import Dash

from dashboard import data, delivery, downloads
from dashboard.components.frame import frame
from pipelines.settings import Settings

HERE = Path(__file__).parent
BOOTSTRAP = "/bootstrap.min.css"
GRID_SCRIPT = re.compile(r'<script[^>]*src="[^"]*/dash_ag_grid/[^"]*"[^>]*></script>\s*')
GRID_PAGES = "/farm/"

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
    """Dash, sparing pages without a grid the weight of the grid's script (360 kB compressed).

    So a farm's page is reached by a full load (`html.A`), never by `dcc.Link` from another page.
    """

    def interpolate_index(self, **parts: Any) -> str:  # type: ignore[override]
        if not flask.request.path.startswith(GRID_PAGES):
            parts["scripts"] = GRID_SCRIPT.sub("", parts["scripts"])
        return str(super().interpolate_index(**parts))  # type: ignore[no-untyped-call]


def create_app(settings: Settings) -> Dash:
    """The dashboard of the practice whose data lives in `settings.home`."""
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
    app.layout = frame()
    server: flask.Flask = app.server
    data.attach(server, settings)
    downloads.attach(server)
    delivery.attach(server)
    server.add_url_rule(BOOTSTRAP, "bootstrap", _bootstrap)
    return app


def _bootstrap() -> flask.Response:
    """Bootstrap's stylesheet as the PyPI package bootstrap-flask ships it, so no other host is asked."""
    folder = files("flask_bootstrap") / "static" / "bootstrap5" / "css"
    return flask.send_from_directory(str(folder), "bootstrap.min.css", max_age=86_400)
