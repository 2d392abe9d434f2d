"""HTML attributes whose names Python cannot write."""

from typing import Any


def attributes(**named: str) -> dict[str, Any]:
    """`aria_label="Filters"` as `{"aria-label": "Filters"}`, to be handed on with `**`."""
    return {name.replace("_", "-"): value for name, value in named.items()}
