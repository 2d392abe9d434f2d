import pytest

from dashboard.brief.choices import Choices


def test_a_link_opens_the_view_that_it_was_made_from() -> None:
    chosen = Choices(season=2025, within=5, prevalence=1, weight=62.5, system="CSIRO", cover=1200.0)
    query = dict(pair.split("=") for pair in chosen.search()[1:].split("&"))
    assert Choices.from_query(query) == chosen


def test_the_usual_view_has_the_shortest_link() -> None:
    assert Choices().search() == ""
    assert Choices.from_query({}) == Choices()


@pytest.mark.parametrize(
    ("name", "written"),
    [
        ("within", "0"), ("within", "x"), ("mean", "nan"), ("mean", "-1"), ("weight", "1e9"),
        ("weight", "inf"), ("flock", "12.5"), ("confidence", "100"), ("system", "=cmd()"),
        ("sensitivity", ""), ("cover", "9" * 400),
    ],
)  # fmt: skip
def test_what_cannot_be_is_left_out(name: str, written: str) -> None:
    assert Choices.from_query({name: written}) == Choices()


def test_a_decimal_comma_is_read_and_the_last_of_several_counts() -> None:
    assert Choices.from_query({"weight": ["50", "62,5"]}).weight == 62.5
