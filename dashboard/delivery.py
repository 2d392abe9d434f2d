"""How answers travel: compressed where the browser takes it, for a phone on a weak signal."""

from __future__ import annotations

import gzip

import flask

SMALLEST = 1_000
LEVEL = 5
TEXTUAL = ("text/", "application/json", "application/javascript", "image/svg+xml")


def attach(server: flask.Flask) -> None:
    """Make `server` compress its textual answers."""
    server.after_request(compressed)


def compressed(response: flask.Response) -> flask.Response:
    """`response` gzipped when the asking browser accepts that and it is worth it."""
    if (
        not flask.request.accept_encodings["gzip"]
        or "Content-Encoding" in response.headers
        or response.status_code != 200
        or not (response.mimetype or "").startswith(TEXTUAL)
    ):
        return response
    response.direct_passthrough = False
    body = response.get_data()
    if len(body) >= SMALLEST:
        response.set_data(gzip.compress(body, LEVEL, mtime=0))
        response.headers["Content-Encoding"] = "gzip"
        response.headers["Vary"] = "Accept-Encoding"
    return response
