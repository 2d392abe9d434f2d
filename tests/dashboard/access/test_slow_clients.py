"""A served dashboard among clients that send or read as slowly as they can."""

import json
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from dashboard import patience
from dashboard.patience import GATHERED_BYTES, PacedSocket, complete

ROOT = Path(__file__).parents[3]
IDLERS = 80  # several times the threads of both processes
HEAD = b"POST /sign-in HTTP/1.1\r\nHost: 127.0.0.1\r\nContent-Length: 5000\r\n"


def free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return int(probe.getsockname()[1])


def health(port: int, seconds: float) -> float:
    """How long an ordinary question takes to be answered."""
    began = time.monotonic()
    with urllib.request.urlopen(f"http://127.0.0.1:{port}/health", timeout=seconds) as answer:
        assert json.load(answer)["status"] == "ok"
    return time.monotonic() - began


WAITRESS = """
import sys; from pathlib import Path
from dashboard import app, server; from pipelines.settings import Settings
application = app.create_app(Settings(Path(sys.argv[1]))).server
server.with_waitress(application, server.Address("127.0.0.1", int(sys.argv[2])))
"""


@pytest.fixture(scope="module", params=["gunicorn", "waitress"])
def port(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Iterator[int]:
    if request.param == "gunicorn" and sys.platform == "win32":
        pytest.skip("gunicorn needs fork")
    port, home = free_port(), str(tmp_path_factory.mktemp("slow"))
    command = {
        "gunicorn": ["-m", "dashboard.cli", "serve", "--home", home, "--port", str(port)],
        "waitress": ["-c", WAITRESS, home, str(port)],
    }[request.param]
    server = subprocess.Popen([sys.executable, *command], cwd=ROOT, stdout=subprocess.DEVNULL)
    try:
        for _ in range(200):
            try:
                health(port, 2)
                break
            except OSError:
                time.sleep(0.2)
        yield port
    finally:
        server.terminate()
        server.wait(timeout=30)


@pytest.fixture
def clients(port: int) -> Iterator[Callable[[bytes], list[socket.socket]]]:
    """Opens many connections that send the given bytes and then nothing."""
    opened: list[socket.socket] = []

    def start(sent: bytes) -> list[socket.socket]:
        for _ in range(IDLERS):
            client = socket.create_connection(("127.0.0.1", port), timeout=70)
            client.sendall(sent)
            opened.append(client)
        return opened

    yield start
    for client in opened:
        client.close()


@pytest.mark.parametrize(
    "sent", [b"", b"GET / HTT", HEAD, HEAD + b"\r\n", HEAD + b"\r\nname=morag"],
    ids=["nothing", "half a line", "half a head", "a head", "half a body"],
)  # fmt: skip
def test_others_are_answered_while_slow_clients_wait(
    sent: bytes, port: int, clients: Callable[[bytes], list[socket.socket]]
) -> None:
    alone = health(port, 10)
    clients(sent)
    assert health(port, 10) < alone + 3


@pytest.mark.slow
def test_a_slow_client_is_told_and_let_go(port: int, clients: Callable[[bytes], list[socket.socket]]) -> None:
    client = clients(HEAD)[0]
    began = time.monotonic()
    said = client.recv(1_000)
    assert said == b"" or said.startswith(b"HTTP/1.1 408 Request Timeout")  # waitress closes without a word
    assert 15 < time.monotonic() - began < 60


def test_a_client_that_reads_too_slowly_is_given_up(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(patience, "GRACE_SECONDS", 0.2)
    ours, theirs = socket.socketpair()
    with ours, theirs, pytest.raises(ConnectionResetError, match="too slow"):
        PacedSocket(ours).recv(1)
    ours, theirs = socket.socketpair()
    monkeypatch.setattr(patience, "SLOWEST_BYTES", 100_000_000)
    with ours, theirs, pytest.raises(ConnectionResetError, match="too slow"):
        PacedSocket(ours).sendall(b"x" * 10_000_000)


@pytest.mark.parametrize(
    "request_bytes, is_complete",
    [
        (b"GET / HTTP/1.1\r\nHost: x\r\n", False),
        (b"GET / HTTP/1.1\r\nHost: x\r\n\r\n", True),
        (HEAD + b"\r\n" + b"x" * 4_999, False),
        (HEAD + b"\r\n" + b"x" * 5_000, True),
        (b"POST / HTTP/1.1\r\nTransfer-Encoding: chunked\r\n\r\n", True),
        (b"POST / HTTP/1.1\r\nContent-Length: 9\r\nExpect: 100-continue\r\n\r\n", True),
        (b"POST / HTTP/1.1\r\nContent-Length: 9000000\r\n\r\n" + b"x" * GATHERED_BYTES, True),
    ],
)
def test_a_thread_is_called_when_it_can_make_something_of_a_request(
    request_bytes: bytes, is_complete: bool
) -> None:
    assert complete(request_bytes) == is_complete
