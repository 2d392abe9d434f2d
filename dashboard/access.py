"""Who may see which farms. Decided here once and handed to the data layer, never in a callback."""

from __future__ import annotations

from collections.abc import Set as AbstractSet

Scope = AbstractSet[str] | None
"""Farm codes a visitor may see; None is every farm of the practice."""


def scope() -> Scope:
    """The scope of the visitor now asking.

    The server answers on this machine only (see `dashboard.cli`), so whoever reaches it is the practice.
    """
    return None
