"""What is asked for to keep, by address: tables and all that is printed. Each leaves a line on record."""

from __future__ import annotations

from typing import Final

import flask

from dashboard import access

SAVED: Final = "save_"
PRINTED: Final = "print."
_PRINTED_AS: Final[dict[str, access.Action]] = {
    "brief.pdf": "brief",
    "draw-list.csv": "draw list",
    "stick-reader.txt": "draw list",
    "dates.ics": "calendar",
}


def require_recorded() -> None:
    """Record the request now handled when it asks for something to keep, found or not.

    Raises `RefusedError` when the visitor's role does not include it, `OSError` when it cannot be recorded.
    """
    request = flask.request
    if (request.endpoint or "").startswith((SAVED, PRINTED)):
        name = request.path.rsplit("/", 1)[-1]
        action = _PRINTED_AS.get(name, "export") if request.blueprint == "print" else "export"
        access.begin(action, address=request.path)
