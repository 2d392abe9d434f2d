"""An imported file: withdraw it, bring it back, or let a corrected one replace it; seen before done."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Self

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components import dropping, filters, notice, words
from dashboard.components.attributes import attributes
from dashboard.intake.looking import HeldPage
from dashboard.views.difference import changes
from dashboard.views.offer_state import OfferState
from dashboard.views.offer_words import file_in_words, given_in_words
from pipelines.warehouse.difference import Difference
from pipelines.warehouse.looking import Held
from pipelines.warehouse.offers import what_was_told

SESSIONS_SHOWN = 12
STATUS = {"withdrawn": "Withdrawn: its rows do not count.", "superseded": "Replaced: its rows do not count."}


@dataclass(frozen=True, slots=True)
class ChangeState:
    """`by`: the record of the file that is to replace this one; `done`: what has just been done."""

    by: str = ""
    done: str = ""

    @classmethod
    def from_query(cls, query: Mapping[str, Any]) -> Self:
        """State of a link's query."""
        done = query.get("done")
        by = OfferState.from_query({"replaces": query.get("by", "")}).replaces
        return cls(by, done if done in ("withdraw", "reinstate", "replace") else "")


def page(state: ChangeState, shown: HeldPage | None) -> list[Component]:
    """The whole page of an imported file."""
    back = dcc.Link("← Files", href="/files", className="back")
    if shown is None or shown.held is None:
        told = shown.trouble if shown else "there is no such file here"
        return [
            back, html.H1("Nothing to correct"),
            notice.empty(words.sentence(told), "See all of them on", "/files", "Files."),
        ]  # fmt: skip
    held = shown.held
    return [
        back,
        html.H1(held.file, className="file-name"),
        html.P(_lead(held), className="lead"),
        *([html.P("Done. All tables follow.", className="mind", role="status")] if state.done else []),
        *_sessions(held),
        *(_stands(held, state, shown.changes) if held.status not in STATUS else _out(held)),
        dropping.trouble(),
    ]


def _lead(held: Held) -> str:
    copies = f" Also offered as {words.listed(list(held.copies))}." if held.copies else ""
    counts = STATUS.get(
        held.status, f"Its {words.count(held.rows, 'row')} count." if held.kind else "Refused."
    )
    given = given_in_words(held.told)
    return f"{counts}{f' Given with it: {given}.' if given else ''}{copies}"


def _sessions(held: Held) -> list[Component]:
    if not held.sessions:
        return []
    lines = [
        html.Li(f"{farm}, {words.day(day)}: {words.count(ewes, 'ewe')}")
        for farm, day, ewes in held.sessions[:SESSIONS_SHOWN]
    ]
    more = len(held.sessions) - SESSIONS_SHOWN
    rest = [html.Li(f"and {words.count(more, 'session')} more")] if more > 0 else []
    return [html.Ul([*lines, *rest], className="diff")]


def _stands(held: Held, state: ChangeState, difference: Difference | None) -> list[Component]:
    falls = (
        f"{words.count(held.rows, 'row')} would count no more, in any table. The file stays in the list and "
        "in the archive, and can be brought back."
    )
    return [
        html.Section([html.H2("A corrected file replaces it"), *_replacing(held, state, difference)]),
        html.Section(
            [
                html.H2("It should not count at all"),
                html.P(falls),
                html.P(_send("Withdraw this file", held, "withdraw"), className="actions"),
            ]
        ),
    ]


def _replacing(held: Held, state: ChangeState, difference: Difference | None) -> list[Component]:
    parts: list[Component] = []
    if held.rivals:
        others = [(rival.record, file_in_words(rival.file, rival.told)) for rival in held.rivals]
        field = filters.choice("by", "A file that was imported", others, state.by, "Choose …")
        address = f"/change/{held.record}"
        parts.append(
            html.Form(field, action=address, method="get", className="filters", **attributes(data_filters=""))
        )
    if difference is not None:
        parts += [
            *changes(difference),
            html.P(_send("Replace it so", held, "replace", by=state.by), className="actions"),
        ]
    farm, day, group = (given or "" for given in what_was_told(held.told))
    search = OfferState(farm=farm, day=day, group=group, replaces=held.record).search()
    return [*parts, dropping.place("Drop the corrected file here", search)]


def _out(held: Held) -> list[Component]:
    return [
        html.Section(
            [
                html.H2("Bring it back"),
                html.P(f"Its {words.count(held.rows, 'row')} would count again in all tables."),
                html.P(_send("Let it count again", held, "reinstate"), className="actions"),
            ]
        )
    ]


def _send(said: str, held: Held, what: str, **parts: str) -> Component:
    return dropping.send(
        said, f"/intake/change/{held.record}/{what}", held.generation, "" if parts else "lesser", **parts
    )
