"""gunicorn's threads, kept from clients that send or read so slowly that they would hold one for ever.

gunicorn hands a new connection to a thread at once and lets that thread wait for a request as long as the
client likes, so that a few dozen idle connections stop everything. Here a connection gathers its request
without a thread: the head, and the body as far as `GATHERED_BYTES`. Only then is a thread called, and what it
still has to read or write must keep a pace. A phone on a weak signal is several times quicker.
"""

from __future__ import annotations

import contextlib
import errno
import re
import socket
import time
from functools import partial
from selectors import EVENT_READ
from typing import Any

from gunicorn.workers.gthread import TConn, ThreadWorker  # type: ignore[import-untyped]

GATHER_SECONDS = 20.0
GATHERED_BYTES = 65_536
GRACE_SECONDS = 10.0
SLOWEST_BYTES = 4_000  # a second
_END_OF_HEAD = b"\r\n\r\n"
_TOLD_TO_WAIT = b"100-continue"  # such a client sends its body once a thread has answered its head
_SENTENCE = b"The request took too long to arrive, so it was not read.\n"
_TOO_SLOW = (
    b"HTTP/1.1 408 Request Timeout\r\nConnection: close\r\nContent-Type: text/plain\r\n"
    b"Content-Length: %d\r\n\r\n%s" % (len(_SENTENCE), _SENTENCE)
)
_LENGTH = re.compile(rb"\r\ncontent-length:[ \t]*(\d{1,15})[ \t]*\r\n", re.IGNORECASE)


class PacedSocket:
    """A client's socket that gathers a request without waiting, and gives up on a client who is too slow."""

    def __init__(self, client: socket.socket) -> None:
        self._client = client
        self._gathered = bytearray()
        self.restart()

    def restart(self) -> None:
        """Begin to measure the pace anew."""
        self._began, self._bytes = time.monotonic(), 0

    def gather(self) -> bool:
        """Take what has arrived, without waiting; True when a thread can make something of it."""
        self._client.setblocking(False)
        try:
            arrived = self._client.recv(GATHERED_BYTES)
        except BlockingIOError:
            return False
        self._gathered += arrived
        return not arrived or complete(bytes(self._gathered))

    def say_too_slow(self) -> None:
        """Tell a client who has begun a request why it is given up."""
        if self._gathered:
            with contextlib.suppress(OSError):
                self._client.send(_TOO_SLOW)

    def recv(self, size: int) -> bytes:
        """What the client sent. Raises `ConnectionResetError` when it did not keep the pace."""
        if self._gathered:
            content = bytes(self._gathered[:size])
            del self._gathered[:size]
            return content
        content = bytes(self._paced(partial(self._client.recv, size), 0))
        self._bytes += len(content)
        return content

    def sendall(self, content: bytes) -> None:
        """Send all of `content`. Raises `ConnectionResetError` when the client reads too slowly."""
        self._paced(partial(self._client.sendall, content), len(content))
        self._bytes += len(content)

    def _paced(self, act: Any, ahead: int) -> Any:
        allowed = GRACE_SECONDS + (self._bytes + ahead) / SLOWEST_BYTES
        self._client.settimeout(max(self._began + allowed - time.monotonic(), 0.001))
        try:
            return act()
        except TimeoutError as error:
            raise ConnectionResetError(errno.ECONNRESET, "the client was too slow") from error

    def __getattr__(self, name: str) -> Any:
        return getattr(self._client, name)


def complete(request: bytes) -> bool:
    """Whether the head has arrived, and all of a body of known length as far as `GATHERED_BYTES`."""
    if len(request) >= GATHERED_BYTES:
        return True
    head, end, body = request.partition(_END_OF_HEAD)
    if not end:
        return False
    length = _LENGTH.search(head + b"\r\n")
    return length is None or len(body) >= int(length[1]) or _TOLD_TO_WAIT in head.lower()


class PatientWorker(ThreadWorker):  # type: ignore[misc]
    """gunicorn's threaded worker, calling a thread only for a request that has arrived."""

    def enqueue_req(self, conn: TConn) -> None:
        """Give a connection to a thread when its request has arrived; until then let it gather."""
        if conn.data_ready:
            super().enqueue_req(conn)
            return
        if not isinstance(conn.sock, PacedSocket):
            conn.sock = PacedSocket(conn.sock)
        conn.timeout = time.monotonic() + GATHER_SECONDS
        self.pending_conns.append(conn)
        self.poller.register(conn.sock, EVENT_READ, partial(self.on_pending_socket_readable, conn))

    def on_client_socket_readable(self, conn: TConn, client: socket.socket) -> None:
        """A connection that was kept open gathers its next request."""
        conn.data_ready = False
        super().on_client_socket_readable(conn, client)

    def on_pending_socket_readable(self, conn: TConn, client: socket.socket) -> None:
        """Gather, and go on waiting without a thread unless that completes the request."""
        try:
            ready = conn.sock.gather()
        except OSError:
            ready = True  # the client is gone: a thread closes what is left
        if ready:
            super().on_pending_socket_readable(conn, client)

    def murder_pending(self) -> None:
        """Close connections whose request did not arrive in time, and say so to those that had begun one."""
        for conn in self.pending_conns:
            if conn.timeout > time.monotonic():
                break
            conn.sock.say_too_slow()
        super().murder_pending()

    def handle(self, conn: TConn) -> Any:
        """Answer one request, its pace measured from now."""
        conn.sock.restart()
        return super().handle(conn)
