"""The call list in portions: who needs a call stands open, the others are folded on a phone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from itertools import groupby
from typing import Any

from dash.development.base_component import Component

from dashboard import ids
from dashboard.components import card, words
from dashboard.components.folding import folded, handle
from dashboard.views.state import FlocksState

Row = Mapping[str, Any]

URGENT = ("act now", "cannot be judged", "not scored")
FEW = 8  # flocks that a phone shows whole
NEAR = 15  # of those that need a call, the most urgent ones, which a phone shows at once
STATUS_WORDS = {
    "act now": ("needs action now", "need action now"),
    "cannot be judged": ("cannot be judged", "cannot be judged"),
    "watch": ("to watch", "to watch"),
    "on course": ("on course", "on course"),
    "not scored": ("not scored yet", "not scored yet"),
    "tupping begun": ("past the rams going in", "past the rams going in"),
}


def portions(rows: Sequence[Row], setting: card.Setting, state: FlocksState) -> list[Component]:
    """The rows, most urgent first; those folded on a phone say on their handle who is in them."""
    near = _near(rows, state)
    later = groupby(rows[len(near) :], key=lambda row: str(row["status"]))
    return [
        card.call_list(near, setting, ids.FLOCK_LIST),
        *(_folded(status, list(group), setting, near) for status, group in later),
    ]


def status_words(status: str, number: int) -> str:
    """`1 needs action now` without its number."""
    return STATUS_WORDS[status][number > 1]


def _near(rows: Sequence[Row], state: FlocksState) -> Sequence[Row]:
    """The first rows, which are not folded: all where they were asked for, or are few."""
    if state.status or state.find or state.page > 1 or len(rows) <= FEW:
        return rows
    first = str(rows[0]["status"])
    wanted = URGENT if first in URGENT else (first,)
    number = next((at for at, row in enumerate(rows) if row["status"] not in wanted), len(rows))
    return rows[: min(number, NEAR)]


def _folded(status: str, rows: Sequence[Row], setting: card.Setting, near: Sequence[Row]) -> Component:
    more = " more" if status == near[-1]["status"] else ""
    said = f"{len(rows):,}{more} {status_words(status, len(rows))}"
    names = [words.text(row["name"], row["farm"]) for row in rows]
    listed = card.call_list(rows, setting, f"{ids.FLOCK_LIST}-{status.replace(' ', '-')}")
    return folded(handle(said, names), [listed], handle_at_desk=False)
