"""For a discussion group: how to give it a comparison that names nobody."""

from __future__ import annotations

from shlex import quote

from dash import html
from dash.development.base_component import Component

from dashboard.components import notice

PATH = "/group"


def page(groups: list[str], may_release: bool) -> list[Component]:
    """The whole page; `groups` are the discussion groups of the season in hand."""
    return [
        html.H1("A comparison for a discussion group"),
        html.P(
            "The members see each other’s flocks side by side, by letter and without a name: a page to "
            "show, a "
            "paper to print, and a private card for each farm that tells it its own letter.",
            className="lead",
        ),
        *_how(groups, may_release),
        html.Section(
            [
                html.H2("What keeps it anonymous"),
                html.P(
                    "Shares are rounded, flock sizes are bands, days are weeks to rams in, and at least "
                    "three "
                    "farms share every description. Each new comparison is checked against all earlier "
                    "ones, so "
                    "that the difference does not show who joined or left."
                ),
                html.P(
                    "What cannot be released safely is refused with the reason: fewer than five farms, a "
                    "system "
                    "that too few share, or one farm more or fewer than before."
                ),
            ]
        ),
    ]


def _how(groups: list[str], may_release: bool) -> list[Component]:
    if not may_release:
        return [notice.empty("A comparison is given out by the practice.", "Ask the practice for it.")]
    if not groups:
        return [
            notice.empty(
                "No farm is in a discussion group yet.",
                "Give the farm register a column discussion_group and import it.",
            )
        ]
    return [
        html.P("Made on the practice’s own machine, by command; the letters are drawn anew each time:"),
        *[html.Pre(f"tupping release {quote(group)} -o FOLDER") for group in groups],
        html.P("To show it, also on a machine that holds nothing else:"),
        html.Pre("tupping serve --release FILE.duckdb"),
    ]
