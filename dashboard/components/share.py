"""A share with its interval and its number of ewes, as a small bar and in words."""

from __future__ import annotations

from dash import html
from dash.development.base_component import Component

from dashboard.components import words
from dashboard.components.attributes import attributes


def in_words(share: float | None, low: float | None, high: float | None, ewes: object = None) -> str:
    """`23 % (18–29 %) of 180 ewes`."""
    if share is None or words.missing(share):
        return words.NO_FIGURE
    interval = "" if words.missing(low) or words.missing(high) else f" ({ends(low, high)})"
    of = "" if ewes is None else f" of {words.count(ewes, 'ewe')}"
    return f"{words.percent(share)}{interval}{of}"


def ends(low: float | None, high: float | None) -> str:
    """`18–29 %`."""
    both = [f"{(end or 0) * 100:.0f}" for end in (low, high)]
    return f"{both[0] if both[0] == both[1] else '–'.join(both)}{words.PERCENT}"


def interval_bar(share: float, low: float, high: float, limit: float, scale: float) -> Component:
    """The share as a mark on its interval, with the limit as a line; `scale` is the share at full width.

    Decoration only: the same figures stand beside it in words, so it is hidden from screen readers.
    """
    return html.Div(
        [
            html.Span(
                className="bar-range", style={"left": _at(low, scale), "right": _from_right(high, scale)}
            ),
            html.Span(className="bar-mark", style={"left": _at(share, scale)}),
            html.Span(className="bar-limit", style={"left": _at(limit, scale)}),
        ],
        className="bar",
        **attributes(aria_hidden="true"),
    )


def stacked_bar(thin: float, on_target: float, over: float) -> Component:
    """Thin, on target and over as one bar, hatched as in the pictures; decoration beside the figures."""
    parts = (("thin", thin), ("on-target", on_target), ("over", over))
    return html.Div(
        [
            html.Span(className=f"part part-{name}", style={"width": f"{share * 100:.1f}%"})
            for name, share in parts
            if share > 0
        ],
        className="stack",
        **attributes(aria_hidden="true"),
    )


def _at(share: float, scale: float) -> str:
    return f"{min(max(share / scale, 0), 1) * 100:.1f}%"


def _from_right(share: float, scale: float) -> str:
    return f"{(1 - min(max(share / scale, 0), 1)) * 100:.1f}%"
