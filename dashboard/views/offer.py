"""A file before it is imported: what each column means, what would be taken, what is wrong and where."""

from __future__ import annotations

from dash import dcc, html
from dash.development.base_component import Component

from dashboard.components import dropping, filters, notice, words
from dashboard.components.attributes import attributes
from dashboard.intake.looking import OfferPage, remembered_for
from dashboard.views import offer_report, offer_rows
from dashboard.views.difference import changes
from dashboard.views.offer_state import BOTH, MAP, OfferState
from dashboard.views.offer_words import choices, file_in_words, in_words
from pipelines.imports.preview import Heading
from pipelines.warehouse.looking import Look, Rival

LAYOUT = {
    "individual": "scores, ewe by ewe",
    "tally": "scores, counted",
    "wide": "scores, counted in columns",
    "register": "a farm register",
}
KNOWN = ("unchanged", "withdrawn", "superseded")
STANDING = {
    "unchanged": "This very file was imported before; importing it again changes nothing.",
    "duplicate": "The same content was imported under another name; its rows will count once.",
    "withdrawn": "This content was withdrawn before. Bring it back on the Files page instead.",
    "superseded": "This content was replaced by a corrected file. Bring it back on the Files page instead.",
}
MISSING = {"farm": "Farm code", "scored_on": "Day scored", "group": "Group"}
FIELDS = {"farm": "farm", "scored_on": "day", "group": "group"}
HINTS = {"farm": "such as WESTBARN", "scored_on": "2026-08-14 or 14/08/2026", "group": "such as Shearlings"}


def page(token: str, state: OfferState, shown: OfferPage | None) -> list[Component]:
    """The whole page of the file under `token`."""
    back = dcc.Link("← Files", href="/files", className="back")
    if shown is None:
        return [
            back,
            html.H1("No such file"),
            notice.empty(
                "This file was thrown away, or is not yours.", "Choose it again on", "/files", "Files."
            ),
        ]
    if shown.offered.report is not None:
        return [back, *offer_report.page(shown.offered.name, shown.offered.report)]
    heading = html.H1(shown.offered.name, className="file-name")
    if shown.look is None:
        return [back, heading, html.P(words.sentence(shown.trouble), className="trouble", role="alert"),
                *_undo(token, state)]  # fmt: skip
    return [
        back,
        heading,
        html.P(_verdict(shown.look), className="lead"),
        html.Form(
            [*_rivals(state, shown.look), *_columns(state, shown.look), *_given(state, shown.look)],
            action=f"/offer/{token}",
            method="get",
            className="offer",
            **attributes(data_filters="", aria_label="What this file holds"),
        ),
        *_replacing(shown.look),
        _action(token, state, shown.look),
        *offer_rows.section(shown.look),
    ]


def _undo(token: str, state: OfferState) -> list[Component]:
    if state == OfferState():
        return []
    return [html.P(dcc.Link("Take back what was chosen for this file", href=f"/offer/{token}"))]


def _verdict(look: Look) -> str:
    parsed = look.preview.parsed
    if parsed.kind is None:
        unknown = any(heading.column is None for heading in look.preview.headings)
        lacking = (
            ": fill in below what no column holds" if look.preview.missing and look.preview.headings else ""
        )
        how = ": say below what its columns hold" if unknown else lacking
        return f"Nothing can be taken from this file as it stands{how}."
    what = LAYOUT[parsed.layout or "tally"]
    of = f", of {_whose(look)}" if look.farms and parsed.kind == "scores" else ""
    taken = f"{parsed.rows_accepted:,} of {words.count(parsed.rows_read, 'row')} can be taken"
    refused = f"; {parsed.rows_refused:,} would be refused" if parsed.rows_refused else ""
    return f"This is {what}{of}. {taken}{refused}."


def _whose(look: Look) -> str:
    farms = sorted(look.farms)
    days = sorted(set(look.preview.parsed.table["scored_on"].to_pylist()))
    more = f" and {len(farms) - 3} more" if len(farms) > 3 else ""
    on = f" on {words.day(days[0])}" if len(days) == 1 else f" on {len(days)} days" if days else ""
    return f"{words.listed(farms[:3])}{more}{on}"


def _rivals(state: OfferState, look: Look) -> list[Component]:
    known = STANDING.get(look.standing)
    told: list[Component] = [html.P(known, className="mind", role="note")] if known else []
    chosen = {rival.record for rival in look.rivals} | {BOTH, ""}
    if not look.rivals and state.replaces in chosen:
        return told
    offered = [
        (rival.record, f"It corrects {file_in_words(rival.file, rival.told)}: replace that")
        for rival in look.rivals
    ]
    if state.replaces not in chosen:
        offered.append((state.replaces, "It corrects the file you came from: replace that"))
    offered.append((BOTH, "It is another file: count both"))
    sentences = [html.P(_rival(rival)) for rival in look.rivals]
    field = filters.choice("replaces", "What is this file?", offered, state.replaces, "Choose …")
    return [*told, html.Div([*sentences, field], className="mind", role="note")]


def _rival(rival: Rival) -> str:
    if rival.sessions:
        name = ", of the same name," if rival.same_name else ""
        return (
            f"{rival.file}{name} counts already and holds {words.count(rival.ewes, 'ewe')} of the same group "
            "and day. If this file corrects it, replace it, or they would be counted beside each other."
        )
    return f"Another file called {rival.file}, with other content, counts already."


def _given(state: OfferState, look: Look) -> list[Component]:
    fields = [
        (column, FIELDS[column])
        for column in MISSING
        if column in look.preview.missing or getattr(state, FIELDS[column])
    ]
    if not fields:
        return []
    wrong = state.day and state.scored_on is None
    return [
        html.Div(
            [
                html.H2("Not in any column"),
                html.P("Fill it in here, and it holds for every row.", className="about"),
                html.Div([_field(state, column, name) for column, name in fields], className="filters"),
                html.P(f"“{state.day}” is not a day. Write it as {HINTS['scored_on']}.", className="trouble")
                if wrong
                else None,
            ],
            className="given",
        )
    ]


def _field(state: OfferState, column: str, name: str) -> Component:
    box = dcc.Input(
        name=name,
        type="text",
        value=getattr(state, name),
        debounce=True,
        placeholder=HINTS[column],
        maxLength=100,
    )
    return html.Label([html.Span(MISSING[column]), box], className="field")


def _columns(state: OfferState, look: Look) -> list[Component]:
    headings = [heading for heading in look.preview.headings if heading.written]
    if not headings:
        return []
    unknown = sum(heading.column is None for heading in headings)
    farm = remembered_for(look)
    memory = f"What you choose is remembered for {f'files of {farm}' if farm else 'the files of every farm'}."
    lead = f"{words.count(unknown, 'column')} not recognised, so not used. {memory}" if unknown else memory
    return [
        html.H2("Columns"),
        html.P(lead, className="about"),
        html.Ul([_column(state, look, heading) for heading in headings], className="columns"),
    ]


def _column(state: OfferState, look: Look, heading: Heading) -> Component:
    usual = look.usual.get(heading.written)
    own = [(column, name) for column, name in choices(look.preview.parsed.kind) if column != usual]
    every = in_words(usual) if usual else "Not recognised"
    chosen = state.columns.get(heading.written, "")
    known = "known" if heading.column else "unknown"
    return html.Li(
        filters.choice(MAP + heading.written, heading.written, own, chosen, every),
        className=f"column {known}",
    )


def _replacing(look: Look) -> list[Component]:
    if look.difference is None:
        return []
    return [html.Section([html.H2("What replacing changes"), *changes(look.difference)])]


def _action(token: str, state: OfferState, look: Look) -> Component:
    parsed = look.preview.parsed
    if parsed.rows_accepted == 0 or look.standing in KNOWN:
        return html.P(dcc.Link("Go back without importing", href="/files"), className="actions")
    if look.rivals and not state.replaces:
        return html.P("Say above what this file is, then it can be imported.", className="actions about")
    replaces = look.difference is not None
    said = f"Import {words.count(parsed.rows_accepted, 'row')}" + (" and replace" if replaces else "")
    return html.Div(
        [
            dropping.send(said, f"/intake/offer/{token}", look.generation),
            dcc.Link("Go back without importing", href="/files"),
            dropping.trouble(),
        ],
        className="actions",
    )
