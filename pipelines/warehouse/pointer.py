"""The pointer to the generation that readers open."""

from __future__ import annotations

import json
from dataclasses import asdict, dataclass

from pipelines.warehouse.places import Places


@dataclass(frozen=True, slots=True)
class Pointer:
    """Number of a generation, the fingerprint of the state it was made from, and of the program it was made
    by (empty: by one that did not say)."""

    generation: int
    state: str
    program: str = ""

    def text(self) -> str:
        """As it stands in the file."""
        return json.dumps(asdict(self))


def current(places: Places) -> Pointer | None:
    """The current generation; `None` before the first publication."""
    try:
        return Pointer(**json.loads(places.pointer.read_text("utf-8")))
    except FileNotFoundError:
        return None
