"""Serving the application: gunicorn where there is fork, waitress on Windows.

Any number of processes may read the published tables, each with a connection of its own that follows the
pointer; accounts and counted guesses are in a file they share.
"""

from __future__ import annotations

import ipaddress
import os
import socket
import sys
from dataclasses import dataclass
from typing import Any

import click
import flask

from dashboard import health
from dashboard.guard.gate import LARGEST_UPLOAD

HOST = "127.0.0.1"
# Two processes keep answering while one works out a brief; more than four would only share the disk.
WORKERS = min(4, max(2, os.cpu_count() or 1))
THREADS = 8
WAITRESS: dict[str, Any] = {
    "threads": THREADS,
    "channel_timeout": 30,  # seconds without a byte; waitress reads and writes without holding a thread
    "connection_limit": 500,
    "max_request_header_size": 16_000,
    "max_request_body_size": LARGEST_UPLOAD,
    "ident": None,
}


@dataclass(frozen=True, slots=True)
class Address:
    """Where the server listens."""

    host: str
    port: int

    def this_machine_only(self) -> bool:
        """Whether no other machine can reach it."""
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return self.host == "localhost"

    def bind(self) -> str:
        """`host:port`, an IPv6 address in brackets."""
        return f"[{self.host}]:{self.port}" if ":" in self.host else f"{self.host}:{self.port}"


def run(server: flask.Flask, address: Address) -> None:
    """Answer on `address` until stopped. Raises `click.ClickException` when it cannot be listened on."""
    _ensure_free(address)
    click.echo(f"\nOpen http://{address.bind()}/ in your browser. Stop with Ctrl+C.")
    if sys.platform == "win32":
        with_waitress(server, address)
    else:
        _with_gunicorn(server, address)


def gunicorn_options(address: Address) -> dict[str, Any]:
    """gunicorn's settings; times in seconds, sizes in bytes."""
    return {
        "bind": address.bind(),
        "worker_class": "dashboard.patience.PatientWorker",
        "workers": WORKERS,
        "threads": THREADS,
        # DuckDB keeps a few kB of each join until tens of thousands have been asked (some 40 MB a process); a
        # fresh process takes over long before. Not all at once: the others answer meanwhile.
        "max_requests": 4_000,
        "max_requests_jitter": 1_000,
        "pre_request": do_not_count_health,
        "timeout": 60,  # a worker that does not move at all is replaced
        "graceful_timeout": 20,
        "keepalive": 15,
        "worker_connections": 500,
        "sendfile": False,  # the kernel would send a file past the pace that dashboard.patience keeps
        "limit_request_line": 4_094,
        "limit_request_fields": 60,
        "limit_request_field_size": 8_190,
        "forwarded_allow_ips": "",  # what a proxy says is believed in one place only: dashboard.app
        "loglevel": "warning",
    }


def do_not_count_health(worker: Any, request: Any) -> None:
    """gunicorn's hook before it counts a request: each open page asks for `/health` twice a second, which
    costs no memory, and a new process every few minutes would begin without any kept page."""
    if request.path == health.PATH:
        worker.nr -= 1


def _ensure_free(address: Address) -> None:
    family = socket.AF_INET6 if ":" in address.host else socket.AF_INET
    with socket.socket(family) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((address.host, address.port))
        except OSError as error:
            raise click.ClickException(
                f"{address.bind()} cannot be listened on ({error.strerror}): choose another --port or --host"
            ) from error


def with_waitress(server: flask.Flask, address: Address) -> None:
    """Answer by waitress, which reads and writes without holding a thread."""
    from waitress import serve  # type: ignore[import-untyped]

    serve(server, host=address.host, port=address.port, **WAITRESS)


def _with_gunicorn(server: flask.Flask, address: Address) -> None:
    from gunicorn.app.base import BaseApplication  # type: ignore[import-untyped]

    class Service(BaseApplication):  # type: ignore[misc]
        """gunicorn without its own command line."""

        def load_config(self) -> None:
            for name, value in gunicorn_options(address).items():
                self.cfg.set(name, value)

        def load(self) -> flask.Flask:
            return server

    Service().run()
