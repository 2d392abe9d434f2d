"""What a phone folds away: never a flock that needs a call, never what somebody has asked for."""

from collections.abc import Callable
from dataclasses import replace

import pandas as pd
import pytest
from dash import html
from dash.development.base_component import Component

from dashboard.comparison import Compare
from dashboard.components import words
from dashboard.data import Flocks
from dashboard.views import compare_standing
from dashboard.views import flocks as flocks_view
from dashboard.views.state import FlocksState

Text = Callable[[object], str]
Parts = Callable[[object], list[Component]]
ON_PAGE = [("act now", 17), ("not scored", 2), ("watch", 9), ("on course", 1)]


@pytest.fixture
def many(flocks: Flocks) -> Flocks:
    statuses = [status for status, number in ON_PAGE for _ in range(number)]
    calls = pd.concat([flocks.calls.head(1)] * len(statuses), ignore_index=True)
    names = [f"Farm {at}" for at in range(1, len(statuses) + 1)]
    return replace(flocks, calls=calls.assign(status=statuses, name=names), found=len(statuses))


def lists(state: FlocksState, data: Flocks, parts_of: Parts, text_of: Text) -> tuple[list[str], list[str]]:
    """Handles of the folded portions of the list, and the names that stand open."""
    parts = parts_of(flocks_view.page(state, data))
    folds = [part for part in parts if isinstance(part, html.Details) and "Share thin" in text_of(part)]
    portions = [fold for fold in folds if "Time left" in text_of(fold)]
    hidden = {id(part) for fold in portions for part in parts_of(fold)}
    names = [text_of(part) for part in parts if isinstance(part, html.H3) and id(part) not in hidden]
    return [text_of(fold.children[0]) for fold in portions], [name for name in names if "Farm" in name]


def test_the_most_urgent_stand_open_and_each_handle_says_who_is_behind_it(
    many: Flocks, parts_of: Parts, text_of: Text
) -> None:
    handles, names = lists(FlocksState(), many, parts_of, text_of)
    assert names == [f"Farm {at}" for at in range(1, 16)]
    assert [" ".join(handle.split()) for handle in handles] == [
        "2 more need action now : Farm 16 and Farm 17",
        "2 not scored yet : Farm 18 and Farm 19",
        "9 to watch : Farm 20, Farm 21, Farm 22, Farm 23, Farm 24, Farm 25, Farm 26, Farm 27 and 1 more",
        "1 on course : Farm 29",
    ]


@pytest.mark.parametrize(
    "asked", [FlocksState(status="watch"), FlocksState(find="Farm"), FlocksState(page=2)]
)
def test_what_was_asked_for_is_not_folded(
    asked: FlocksState, many: Flocks, parts_of: Parts, text_of: Text
) -> None:
    handles, names = lists(asked, many, parts_of, text_of)
    assert (handles, len(names)) == ([], 29)


def test_where_nobody_needs_a_call_the_first_flocks_stand_open(
    many: Flocks, parts_of: Parts, text_of: Text
) -> None:
    calm = replace(many, calls=many.calls.iloc[19:])
    handles, names = lists(FlocksState(), calm, parts_of, text_of)
    assert len(names) == 9 and len(handles) == 1


def test_a_day_stays_on_the_line_of_its_month() -> None:
    assert words.sentence("at most 5 % thin by 3 Oct") == "At most 5\u00a0% thin by 3\u00a0Oct."
    assert words.sentence("12 Marl Vale ewes") == "12 Marl Vale ewes."


def test_of_many_flocks_compared_a_phone_folds_all_but_the_first_ten(
    compare: Compare, parts_of: Parts, text_of: Text
) -> None:
    twelve = pd.concat([compare.sessions.head(1)] * 12, ignore_index=True)
    tables = compare_standing.tables(compare, twelve.assign(name=[f"Farm {at}" for at in range(1, 13)]))
    rows = [len([part for part in parts_of(table) if isinstance(part, html.Tr)]) - 1 for table in tables]
    assert rows == [10, 2] and "2 more : Farm 11 and Farm 12" in text_of(tables[1])
    assert len(compare_standing.tables(compare, twelve.head(10))) == 1
