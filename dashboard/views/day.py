"""Figures of another day than today, and that they are being worked out anew."""

from __future__ import annotations

from datetime import date

from dash.development.base_component import Component

from dashboard.components import notice, words

Days = tuple[date, date]
"""The day that figures are worked out for, and today."""


def told(other: Days | None, page: list[Component]) -> list[Component]:
    """`page`, beginning with a notice where its figures are those of `other` than today."""
    if other is None:
        return page
    return [notice.behind(*map(words.day, other)), *page]
