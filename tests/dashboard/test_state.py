"""A link reopens its view; what a link should not say is left out."""

from urllib.parse import parse_qsl

import pytest
from hypothesis import given
from hypothesis import strategies as st

from dashboard.views.state import STATUSES, CompareState, FarmState, FilesState, FlocksState, rows_before


def reopened(state: FlocksState) -> FlocksState:
    return FlocksState.from_query(dict(parse_qsl(state.search().lstrip("?"))))


@given(
    season=st.none() | st.integers(1900, 2200),
    system=st.sampled_from([None, "hill", "upland", "lowland"]),
    status=st.sampled_from([None, *STATUSES]),
    find=st.none() | st.text("abcXYZ &=?#%+äé", min_size=1, max_size=20).map(str.strip).filter(bool),
    page=st.integers(1, 9999),
)
def test_a_link_reopens_the_same_view(
    season: int | None, system: str | None, status: str | None, find: str | None, page: int
) -> None:
    state = FlocksState(season=season, system=system, status=status, find=find, page=page)
    assert reopened(state) == state


def test_the_usual_view_has_the_shortest_link() -> None:
    assert (
        FlocksState().search()
        == FarmState().search()
        == CompareState().search()
        == FilesState().search()
        == ""
    )


def test_a_link_names_only_what_was_chosen() -> None:
    assert FlocksState(system="hill").search(status="act now") == "?system=hill&status=act+now"


@pytest.mark.parametrize(
    "query",
    [
        {"system": "mountain"},
        {"season": "next"},
        {"season": "²"},
        {"season": "99999999999999999999"},
        {"page": "0"},
        {"page": "-1"},
        {"status": "<script>"},
        {"find": "   "},
        {"find": None},
        {"nonsense": "1", "search_": "x"},
    ],
)
def test_what_is_not_understood_is_left_out(query: dict[str, object]) -> None:
    assert FlocksState.from_query(query) == FlocksState()


def test_a_repeated_filter_counts_once_and_a_long_one_is_cut() -> None:
    state = FlocksState.from_query({"system": ["hill", "upland"], "find": "x" * 4000})
    assert state.system == "upland"
    assert state.find == "x" * 100


@pytest.mark.parametrize(("page", "before"), [(1, 0), (2, 50), (3, 100), (4, 100), (9_999, 100)])
def test_a_page_beyond_the_end_is_the_last(page: int, before: int) -> None:
    assert rows_before(page, 101, 50) == before
    assert rows_before(page, 0, 50) == 0
