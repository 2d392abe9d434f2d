"""Serving the application on this machine: gunicorn where there is fork, waitress on Windows."""

from __future__ import annotations

import socket
import sys
from typing import Any

import click
import flask

HOST = "127.0.0.1"
THREADS = 8


def run(server: flask.Flask, port: int) -> None:
    """Answer on `HOST`:`port` until stopped. Raises `click.ClickException` when the port is taken."""
    _ensure_free(port)
    click.echo(f"\nOpen http://{HOST}:{port}/ in your browser. Stop with Ctrl+C.")
    if sys.platform == "win32":
        _with_waitress(server, port)
    else:
        _with_gunicorn(server, port)


def _ensure_free(port: int) -> None:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((HOST, port))
        except OSError as error:
            raise click.ClickException(
                f"port {port} cannot be used ({error.strerror}): choose another with --port"
            ) from error


def _with_waitress(server: flask.Flask, port: int) -> None:
    from waitress import serve  # type: ignore[import-untyped]

    serve(server, host=HOST, port=port, threads=THREADS)


def _with_gunicorn(server: flask.Flask, port: int) -> None:
    from gunicorn.app.base import BaseApplication  # type: ignore[import-untyped]

    class Service(BaseApplication):  # type: ignore[misc]
        """gunicorn without its own command line."""

        def load_config(self) -> None:
            options: dict[str, Any] = {
                "bind": f"{HOST}:{port}",
                "worker_class": "gthread",
                "threads": THREADS,
                "loglevel": "warning",
            }
            for name, value in options.items():
                self.cfg.set(name, value)

        def load(self) -> flask.Flask:
            return server

    Service().run()
