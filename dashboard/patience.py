"""gunicorn's threads, kept from clients that send or read so slowly that they would hold one for ever.

gunicorn hands a new connection to a thread at once and lets that thread wait for a request as long as the
client likes. Here a connection waits without a thread until something arrives, and from then on everything
must keep a pace: a few seconds' grace and at least `SLOWEST_BYTES` a second. A phone on a weak signal is
ten times quicker than that.
"""

from __future__ import annotations

import errno
import socket
import time
from functools import partial
from selectors import EVENT_READ
from typing import Any

from gunicorn.workers.gthread import TConn, ThreadWorker  # type: ignore[import-untyped]

GRACE_SECONDS = 10.0
SLOWEST_BYTES = 2_000


class PacedSocket:
    """A client's socket that gives up on a client who does not keep the pace."""

    def __init__(self, client: socket.socket) -> None:
        self._client = client
        self.restart()

    def restart(self) -> None:
        """Begin to measure anew, for the next request of the same connection."""
        self._began, self._bytes = time.monotonic(), 0

    def recv(self, size: int) -> bytes:
        """What the client sent. Raises `ConnectionResetError` when it did not keep the pace."""
        content: bytes = self._paced(partial(self._client.recv, size), 0)
        self._bytes += len(content)
        return content

    def sendall(self, content: bytes) -> None:
        """Send all of `content`. Raises `ConnectionResetError` when the client reads too slowly."""
        self._paced(partial(self._client.sendall, content), len(content))
        self._bytes += len(content)

    def _paced(self, act: Any, ahead: int) -> Any:
        allowed = GRACE_SECONDS + (self._bytes + ahead) / SLOWEST_BYTES
        left = self._began + allowed - time.monotonic()
        self._client.settimeout(max(left, 0.001))
        try:
            return act()
        except TimeoutError as error:
            raise ConnectionResetError(errno.ECONNRESET, "the client was too slow") from error

    def __getattr__(self, name: str) -> Any:
        return getattr(self._client, name)


class PatientWorker(ThreadWorker):  # type: ignore[misc]
    """gunicorn's threaded worker with connections that wait without a thread and sockets that keep a pace."""

    def enqueue_req(self, conn: TConn) -> None:
        """Give a connection to a thread once there is something to read."""
        if conn.initialized or conn.data_ready:
            super().enqueue_req(conn)
            return
        conn.sock = PacedSocket(conn.sock)
        conn.sock.setblocking(False)
        conn.timeout = time.monotonic() + GRACE_SECONDS
        self.pending_conns.append(conn)
        self.poller.register(conn.sock, EVENT_READ, partial(self.on_pending_socket_readable, conn))

    def handle(self, conn: TConn) -> Any:
        """Answer one request, measured from its first byte."""
        conn.sock.restart()
        return super().handle(conn)
