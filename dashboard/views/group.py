"""For a discussion group: giving it a comparison that names nobody."""

from __future__ import annotations

from collections.abc import Sequence
from shlex import quote

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components import dropping, filters, notice, words
from dashboard.components.attributes import attributes
from dashboard.meeting.prospect import GroupPage, Prospect
from pipelines.release.practice import GivenOut

PATH = "/group"
MAKE = "/release"
NOT_KEPT = (
    "made by an earlier version of the program, which kept no copy here, so members who sign in are told only"
    " that it was made. The page and the paper that you saved hold as before."
)


def page(shown: GroupPage | None) -> list[Component]:
    """The whole page; None for a visitor who may not release."""
    return [
        dcc.Link("← Compare", href="/compare", className="back"),
        html.H1("A comparison for a discussion group"),
        html.P(
            "The members see each other’s flocks side by side, by letter and without a name: a page to show, "
            "a paper to print, and a private card for each farm that tells it its own letter.",
            className="lead",
        ),
        *_how(shown),
        html.Section(
            [
                html.H2("What keeps it anonymous"),
                html.P(
                    "Shares are rounded, flock sizes are bands, days are weeks to rams in, and at least "
                    "three farms share every description. Each new comparison is checked against all "
                    "earlier ones, so that the difference does not show who joined or left."
                ),
                html.P(
                    "What cannot be released safely is refused with the reason: fewer than five farms, a "
                    "system that too few share, or one farm more or fewer than before."
                ),
            ]
        ),
    ]


def _how(shown: GroupPage | None) -> list[Component]:
    if shown is None:
        return [notice.empty("A comparison is given out by the practice.", "Ask the practice for it.")]
    if shown.chosen is None:
        return [
            notice.empty(
                "No farm is in a discussion group yet.",
                "Give the farm register a column discussion_group and import it.",
            )
        ]
    chosen = shown.chosen
    groups = [(group, group) for group in shown.groups]
    return [
        filters.form(PATH, [filters.choice("group", "Group", groups, chosen.group, None)], clear=False),
        _making(chosen),
        *([_made(shown.made)] if shown.made else []),
        html.Section(
            [
                html.H2("Who sees it"),
                html.P(
                    [
                        "Members who sign in see ",
                        html.A("the comparisons of their own groups", href=MAKE),
                        " and nothing else of the practice. Give a member an account on the practice’s "
                        "machine:",
                    ]
                ),
                html.Pre(f"tupping account add NAME --role member --groups {quote(chosen.group)}"),
                html.P("To show one on a machine that holds nothing else, use the file ending in .duckdb:"),
                html.Pre("tupping serve --release FILE.duckdb"),
            ]
        ),
    ]


def _making(chosen: Prospect) -> Component:
    heading = html.H2(f"{chosen.group}, {chosen.season}")
    if chosen.refused:
        return html.Section([heading, html.P(words.sentence(chosen.refused), className="trouble")])
    left_out = [html.Li(f"{name} {reason}.") for name, reason in chosen.left_out.items()]
    return html.Section(
        [
            heading,
            html.P(
                f"{chosen.farms} flocks can be shown side by side"
                + (f", {len(left_out)} cannot:" if left_out else ".")
            ),
            html.Ul(left_out, className="left-out") if left_out else None,
            html.P(
                "The letters are drawn anew each time. A comparison that was made counts for every later "
                "one: make one a meeting, not several to try.",
                className="about",
            ),
            html.Form(
                [
                    dcc.Input(type="hidden", name="group", value=chosen.group),
                    html.Button("Make it and save the files", type="submit", className="act"),
                ],
                **attributes(data_send_form=MAKE, aria_label="New comparison"),
            ),
            html.P(className="mind", role="status", hidden=True),
            dropping.trouble(),
        ]
    )


def _made(made: Sequence[GivenOut]) -> Component:
    """What the group was given so far, and whether its members see it."""
    return html.Section(
        [
            html.H2("Comparisons made so far"),
            html.P(
                "One that was withdrawn is shown to no member. What was printed or saved stays with them, so "
                "it counts for later ones all the same.",
                className="about",
            ),
            html.Ul([html.Li(_given(one)) for one in made], className="given-out"),
            dropping.trouble(),
        ]
    )


def _given(one: GivenOut) -> list[Component]:
    name = f"{one.season}, {one.release[:8]}"
    if not one.kept:
        return [html.Span(f"{name}: {NOT_KEPT}")]
    state = "withdrawn from members" if one.withdrawn else "members see it"
    act = "Show it to members again" if one.withdrawn else "Withdraw it from members"
    send = attributes(
        data_send=f"{MAKE}/{one.release}/withdraw",
        data_with_shown="yes" if one.withdrawn else "no",
        aria_label=f"{act}: {name}",
    )
    return [
        html.Span([html.A(name, href=f"{MAKE}/{one.release}"), f": {state}. "]),
        html.Button(act, type="button", className="quiet", **send),
    ]
