"""The group's page, served from a release alone: one address, no callbacks, no warehouse behind it."""

from __future__ import annotations

from pathlib import Path

import flask

from dashboard import delivery
from dashboard.meeting import page
from dashboard.meeting.content import meeting
from pipelines.warehouse.released import read_release

HEADERS = {
    "Content-Security-Policy": "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; "
    "form-action 'none'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "no-referrer",
    "Cache-Control": "no-store",
}


def create_server(release: Path) -> flask.Flask:
    """A server of the page of the release in a file; the file is read once, here.

    It knows no data folder, so there is nothing else it could be talked into giving. Raises `WarehouseError`
    when the file holds no release.
    """
    shown = page.render(meeting(read_release(release)))
    server = flask.Flask("dashboard.meeting", static_folder=None)

    @server.get("/")
    def comparison() -> str:
        return shown

    @server.after_request
    def fenced(response: flask.Response) -> flask.Response:
        response.headers.update(HEADERS)
        return response

    delivery.attach(server)
    return server
