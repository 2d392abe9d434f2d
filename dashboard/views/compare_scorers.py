"""Compare: where a difference between flocks could be a difference between those who scored them."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

import pandas as pd
from dash import dcc, html
from dash.development.base_component import Component

from dashboard.comparison import Compare
from dashboard.components import comparing, words
from dashboard.scoring import Agreement

PATH = "/scorers"


def warning(data: Compare) -> Component:
    """What is known of the scorers of the flocks shown; always says something."""
    link = dcc.Link("How well scorers agree", href=PATH)
    return html.Div(
        [
            html.P(html.Strong("Ewes or scorers? Where a difference could be between those who scored:")),
            html.Ul([html.Li(said) for said in sentences(data)], className="plain-list"),
            html.P(link),
        ],
        className="caution",
        role="note",
    )


def sentences(data: Compare) -> list[str]:
    """What is known of every two scorers of the flocks shown, and of those nobody named."""
    by = _flocks_by_scorer(data.sessions)
    said = list(_of_pairs(data, by))
    if unnamed := int(data.sessions["scorers"].isna().sum()):
        said.append(
            f"Who scored {words.count(unnamed, 'flock')} was not recorded: a difference from or between "
            "those "
            "could be the scorers’."
        )
    return said or ["All these flocks were scored by one person, so no difference is between scorers."]


def within(pair: Agreement, difference: float) -> bool:
    """Whether means so far apart (first's flock minus second's) could be the two scorers' doing.

    They could when they are no further apart than the same two scorers' means of the same ewes. The limits
    of agreement would say so of nearly every two flocks: they are of one ewe, and hold her luck too.
    """
    limits = pair.limits
    return limits is not None and min(limits.mean_low, 0) <= difference <= max(limits.mean_high, 0)


def _of_pairs(data: Compare, by: dict[str, pd.DataFrame]) -> Iterator[str]:
    known = {(pair.first, pair.second): pair for pair in data.pairs if pair.limits}
    never = []
    for first, second in combinations(sorted(by), 2):
        pair = known.get((first, second))
        if pair is None:
            never.append(f"{first} and {second}")
        else:
            yield _known(pair, by)
    if never:
        yield f"{words.listed(never)}: not known, because they have never scored the same ewes."


def _known(pair: Agreement, by: dict[str, pd.DataFrame]) -> str:
    limits = pair.limits
    assert limits is not None  # only pairs with limits are handed here
    means = (by[name]["mean_score"].tolist() for name in (pair.first, pair.second))
    first, second = means
    doubtful = sum(within(pair, a - b) for a in first for b in second)
    of = len(first) * len(second)
    ends = f"{comparing.signed(limits.mean_low)} to {comparing.signed(limits.mean_high)} of a score"
    return (
        f"{pair.first} and {pair.second}: {doubtful} of {words.count(of, 'pair')} of their flocks differ "
        f"in mean by no more than the two do on the same ewes ({ends}), so that could be them."
    )


def _flocks_by_scorer(sessions: pd.DataFrame) -> dict[str, pd.DataFrame]:
    """Sessions of each scorer; where several scored one session, it is each one's."""
    lists = sessions["scorers"].dropna().str.split(", ")
    each = sessions.loc[lists.index].assign(scorer=lists).explode("scorer")
    return {str(scorer): rows for scorer, rows in each.groupby("scorer")}
