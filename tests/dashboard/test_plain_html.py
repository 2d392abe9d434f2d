"""HTML that travels as one component: nothing of it lost, nothing in it that could run."""

from collections import Counter

import pytest
from dash import dcc, html

from dashboard.components.plain import drawn


def test_tags_attributes_and_texts_arrive_in_their_order() -> None:
    page = [
        html.H1("Flocks"),
        html.P(["41 of ", html.B(180), " thin"], className="key", **{"data-told": "yes"}),
    ]
    assert drawn(page).tree == [
        ["h1", {}, "Flocks"],
        ["p", {"className": "key", "data-told": "yes"}, "41 of ", ["b", {}, "180"], " thin"],
    ]


def test_what_dash_must_draw_itself_is_a_child_with_its_place_in_the_tree() -> None:
    link, field = dcc.Link("Farm", href="/farm/A"), dcc.Input(name="week")
    sent = drawn([html.Div([html.Span(link), None, field])])
    assert sent.children == [link, field]
    assert sent.tree == [["div", {}, ["span", {}, 0], 1]]


def test_a_page_without_any_of_those_has_no_children() -> None:
    sent = drawn([html.P(), "and this"])
    assert (sent.children, sent.tree) == ([], [["p", {}], "and this"])


@pytest.mark.parametrize(
    "address", ["javascript:alert(1)", " JavaScript:alert(1)", "data:text/html,x", "vbscript:x"]
)
def test_an_address_that_would_run_something_leads_nowhere(address: str) -> None:
    (link,) = drawn([html.A("x", href=address)]).tree
    assert link[1]["href"] == "about:blank"


@pytest.mark.parametrize("address", ["/farm/A?season=2026", "#ewes", "?week=3", "mailto:a@b.example"])
def test_our_own_addresses_stay_as_they_are(address: str) -> None:
    (link,) = drawn([html.A("x", href=address)]).tree
    assert link[1]["href"] == address


def test_few_components_are_left_for_dash_on_a_page_with_a_table() -> None:
    table = html.Table([html.Tr([html.Td(cell) for cell in range(10)]) for _ in range(100)])
    sent = drawn([table]).to_plotly_json()
    assert sent["props"]["children"] == []
    assert Counter(str(sent["props"]["tree"]).split("'"))["td"] == 1_000
