"""Pages kept as they were answered, for whoever opens the same view again before anything new is published.

A page depends on nothing but the published state, the day, the visitor and the link. So these together are
the key, and a page is never older than its tables. Only pages that keep to this are named here.
"""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Hashable
from dataclasses import dataclass

import flask

from dashboard import access, data
from pipelines.warehouse.errors import WarehouseError

MOST_BYTES = 16_000_000  # per process: about 300 pages as they travel
LONGEST_QUESTION = 4_000
CALLBACK = "/_dash-update-component"
PAGES = ("/", "/compare", "/files")
FARM = "/farm/"


@dataclass(frozen=True, slots=True)
class Answer:
    """The body of an answer, and how it is packed."""

    body: bytes
    encoding: str | None


class Shelf:
    """The answers asked for most recently, as many as `MOST_BYTES` holds; for any number of threads."""

    def __init__(self, most_bytes: int = MOST_BYTES) -> None:
        self._most = most_bytes
        self._answers: OrderedDict[Hashable, Answer] = OrderedDict()
        self._bytes = 0
        self._lock = threading.Lock()

    def take(self, key: Hashable) -> Answer | None:
        """The answer kept under `key`."""
        with self._lock:
            if key in self._answers:
                self._answers.move_to_end(key)
            return self._answers.get(key)

    def put(self, key: Hashable, answer: Answer) -> None:
        """Keep an answer; those not asked for longest make room."""
        with self._lock:
            if key in self._answers:
                return
            self._answers[key] = answer
            self._bytes += len(answer.body)
            while self._bytes > self._most:
                _, gone = self._answers.popitem(last=False)
                self._bytes -= len(gone.body)


def attach(server: flask.Flask) -> None:
    """Let `server` answer from its shelf. To be called after the gate, which says who asks, and before what
    packs answers, so that they are kept packed and without any visitor's cookies."""
    shelf = Shelf()

    @server.before_request
    def take() -> flask.Response | None:
        key = flask.g.view = _view()
        answer = None if key is None else shelf.take(key)
        if answer is None:
            return None
        flask.g.view = None  # it is kept already
        return _response(answer)

    @server.after_request
    def put(response: flask.Response) -> flask.Response:
        key = flask.g.get("view")
        if key is not None and response.status_code == 200:
            shelf.put(key, Answer(response.get_data(), response.headers.get("Content-Encoding")))
        return response


def _view() -> Hashable | None:
    """What decides how the page now asked for looks; None when more than that decides."""
    request = flask.request
    length = request.content_length
    if request.path != CALLBACK or request.method != "POST" or length is None or length > LONGEST_QUESTION:
        return None
    asked = request.get_json(silent=True)
    if not isinstance(asked, dict) or not str(asked.get("output")).startswith(".._pages_content."):
        return None
    paths = [part.get("value") for part in asked.get("inputs", []) if part.get("property") == "pathname"]
    if len(paths) != 1 or not (paths[0] in PAGES or str(paths[0]).startswith(FARM)):
        return None
    try:
        generation = data.snapshot().generation()
    except WarehouseError:  # nothing is published, or not readable: the page itself says so
        return None
    today = data.settings().today()
    return generation, today, access.visitor(), request.accept_encodings["gzip"] > 0, request.get_data()


def _response(answer: Answer) -> flask.Response:
    response = flask.Response(answer.body, mimetype="application/json")
    if answer.encoding:
        response.headers["Content-Encoding"] = answer.encoding
        response.headers["Vary"] = "Accept-Encoding"
    return response
