"""Whoever may see one farm sees nothing of another, whatever is asked."""

import inspect

import pytest

from pipelines import models, queries
from pipelines.queries import Reader


@pytest.fixture
def adviser(published):
    return Reader(published, {"F2"})


@pytest.mark.parametrize("table", models.TABLES)
def test_no_table_shows_another_farm(adviser, practice, table):
    query = f"select * from {table}"
    mine, all_of_it = adviser.frame(query), practice.frame(query)
    assert not mine.astype(str).apply(lambda column: column.str.contains("F1|F3")).any(axis=None)
    if "farm" in all_of_it and len(all_of_it):
        assert 0 < len(mine) < len(all_of_it)


@pytest.mark.parametrize(
    "name", ["farm", "farm_seasons", "farm_ewe_history", "farm_standings", "scorer_pairs"]
)
def test_asking_for_another_farm_gives_nothing(adviser, name):
    answer = getattr(queries, name)(adviser, "F1")
    assert answer is None or answer.empty


@pytest.mark.parametrize("name", ["farm_sessions", "farm_distribution", "farm_readiness", "farm_ewes"])
def test_asking_for_another_farms_season_gives_nothing(adviser, practice, name):
    ask = getattr(queries, name)
    assert ask(adviser, "F1", 2026).empty
    assert not ask(practice, "F1", 2026).empty


def test_a_code_that_looks_like_sql_is_only_a_code(adviser):
    assert queries.farm(adviser, "F2' or 'a' = 'a") is None
    assert queries.farm(Reader(adviser._snapshot, {"x') --"}), "F1") is None


def test_a_file_with_rows_of_another_farm_is_not_shown(adviser, practice):
    assert sorted(queries.files(adviser)["file"]) == ["F2-2025.csv", "F2-2026.csv"]
    assert {"register.csv", "empty.csv"} <= set(queries.files(practice)["file"])


def test_a_warning_that_names_another_farm_is_for_the_practice(adviser, practice):
    assert "scorer_elsewhere" in set(queries.problems(practice)["code"])
    assert "scorer_elsewhere" not in set(queries.problems(adviser)["code"])


def test_no_farm_is_not_every_farm(published):
    assert queries.farms(Reader(published, set())).empty


def test_readers_of_different_scopes_do_not_meet(published):
    one, other = Reader(published, {"F1"}), Reader(published, {"F3"})
    with one.cursor() as first, other.cursor() as second:
        codes = [
            cursor.execute("select distinct farm from farm_season").fetchall() for cursor in (first, second)
        ]
    assert codes == [[("F1",)], [("F3",)]]


def test_every_query_takes_a_reader_first():
    for name in queries.__all__:
        if name.islower():
            assert next(iter(inspect.signature(getattr(queries, name)).parameters)) == "reader", name
