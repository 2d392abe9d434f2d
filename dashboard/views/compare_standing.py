"""Compare: each flock's standing with luck allowed for, what it would take, and its own change."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import pandas as pd
from dash import html
from dash.development.base_component import Component

from dashboard.comparison import Compare
from dashboard.components import comparing, links, share, words
from dashboard.components.attributes import attributes
from dashboard.components.folding import folded, handle
from dashboard.views.flocks import records

NEAR = 10  # flocks that a phone shows at once


def tables(data: Compare, rows: pd.DataFrame) -> list[Component]:
    """One row per flock of `rows` (sessions of `data`), most thin ewes first.

    A phone folds those after the first `NEAR`.
    """
    if len(rows) <= NEAR:
        return [_table(data, rows)]
    rest = rows.iloc[NEAR:]
    names = [words.text(row["name"], row["farm"]) for row in records(rest)]
    said = handle(f"{len(rest)} more", names)
    return [_table(data, rows.head(NEAR)), folded(said, [_table(data, rest)], handle_at_desk=False)]


def _table(data: Compare, rows: pd.DataFrame) -> Component:
    headings = (
        "Flock", "Thin, as scored", "Allowing for luck", f"Over {words.percent(data.too_many)}?",
        "Place, most thin first", "To the best quarter", f"Since {data.season - 1}",
    )  # fmt: skip
    head = html.Tr([html.Th(text, scope="col") for text in headings])
    body = [_row(data, row, headings) for row in records(rows)]
    return html.Table([html.Thead(head), html.Tbody(body)], className="shares standing")


def explained(data: Compare) -> list[Component]:
    """What the columns mean."""
    return [
        html.P(
            "Allowing for luck: where few ewes were scored, the share is drawn towards what is usual among "
            "these flocks, so that a small sample neither tops nor tails the list by chance. Brackets hold "
            "the "
            "range it lies in nine times out of ten; places whose ranges overlap may be the other way round.",
            className="meaning",
        ),
        html.P(
            "To the best quarter: how many ewes of the whole flock would have to come up to the lower end "
            "of the "
            f"target to have no more thin than a quarter of these flocks. Since {data.season - 1}: how "
            "many more "
            "or fewer of a hundred ewes were thin than at this stage a season before.",
            className="meaning",
        ),
    ]


def _row(data: Compare, row: Mapping[str, Any], headings: tuple[str, ...]) -> Component:
    flock = row["ewes"] if words.missing(row["flock_ewes"]) else row["flock_ewes"]
    cells = (
        share.in_words(row["thin_share"], row["thin_share_low"], row["thin_share_high"], row["ewes"]),
        share.in_words(row["adjusted"], row["adjusted_low"], row["adjusted_high"]),
        comparing.likely(float(row["chance"])),
        comparing.place(row["rank"], row["rank_low"], row["rank_high"], len(data.sessions)),
        comparing.to_move(row["to_move"], flock),
        _change(row),
    )
    return html.Tr(
        [
            html.Th(_who(row, data.season), scope="row"),
            *[
                html.Td(text, **attributes(data_label=label))
                for label, text in zip(headings[1:], cells, strict=True)
            ],
        ]
    )


def _who(row: Mapping[str, Any], season: int) -> list[Component]:
    by = "" if words.missing(row["scorers"]) else f" by {row['scorers']}"
    return [
        html.A(words.text(row["name"], row["farm"]), href=links.farm(row["farm"], season)),
        html.Small(f"{words.short_day(row['scored_on'])}{by}, {_ahead(row['days_before'])}"),
    ]


def _ahead(days: Any) -> str:
    whole = int(days)
    return f"{words.count(abs(whole), 'day')} {'before' if whole >= 0 else 'after'} rams in"


def _change(row: Mapping[str, Any]) -> str:
    if words.missing(row["change"]):
        return "not scored at this stage then"
    return comparing.change(row["change"], row["change_low"], row["change_high"])
