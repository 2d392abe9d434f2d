"""The columns of /contract.md, word for word: other people's scripts rest on them."""

from importlib import import_module
from importlib.resources import files
from typing import Any

import pytest

from pipelines import models
from pipelines.models.figures import session_figures

CONTRACT = {
    "score_distribution": "farm, season, scored_on, stage, group, score, ewes",
    "session_summary": (
        "farm, season, scored_on, stage, group, ewes, mean_score, thin, on_target, over, thin_share, "
        "thin_share_low, thin_share_high, on_target_share, target_low, target_high"
    ),
    "readiness": (
        "farm, season, group, scored_on, ready_by, days_left, ewes, ready_now_share, ready_share, "
        "ready_share_low, ready_share_high, ewes_to_gain, ewes_unlikely, days_needed_median"
    ),
    "farm_standing": (
        "farm, season, stage, ewes, thin_share, adjusted_thin_share, low, high, chance_too_many_thin, rank"
    ),
    "ewe_action": "farm, group, ewe, score, target_low, days_needed, days_left, chance_ready, action",
    "import_problem": "file, line, column, code, severity, value, message",
    "import_file": "file, sha256, imported_at, status, rows_read, rows_accepted, rows_refused",
}


def columns(world: Any, table: str) -> list[str]:
    return [row[0] for row in world.connection.execute(f"describe marts.{table}").fetchall()]


@pytest.mark.parametrize("table", CONTRACT)
def test_a_published_table_begins_with_the_columns_of_the_contract(world, table):
    world.build()
    wanted = CONTRACT[table].split(", ")
    assert columns(world, table)[: len(wanted)] == wanted


def test_tables_have_the_same_types_with_and_without_rows(world):
    world.build()
    empty = {table: world.connection.execute(f"describe marts.{table}").fetchall() for table in models.TABLES}
    world.register("F1")
    world.scores("F1", {"ewe": "1"}, {"ewe": "2", "score": 2.0})
    world.build()
    for table, described in empty.items():
        assert world.connection.execute(f"describe marts.{table}").fetchall() == described, table


def test_flock_sizes_are_whole_numbers_though_a_frame_with_gaps_makes_fractions_of_them(world, monkeypatch):
    # numpy's whole numbers become fractions as soon as a register leaves the size of a flock out
    def with_gaps(counts):
        return session_figures(counts).astype({"flock_ewes": float})

    monkeypatch.setattr(import_module("pipelines.models.build"), "session_figures", with_gaps)
    world.register("F1", ewes=None)
    world.scores("F1", {"ewe": "1"}, {"ewe": "2", "score": 2.0})
    world.build()
    described = world.connection.execute("describe marts.session_summary").fetchall()
    assert {name: kind for name, kind, *_ in described}["flock_ewes"] == "INTEGER"


def test_dates_are_published_as_days(world):
    world.build()
    query = "select distinct column_name from information_schema.columns where data_type like 'TIMESTAMP%'"
    moments = {row[0] for row in world.connection.execute(query + " and table_schema = 'marts'").fetchall()}
    assert moments == {"imported_at", "published_at"}


def test_every_published_table_but_the_longest_is_written_in_the_order_of_its_key(world):
    for farm in ("F2", "F1"):
        world.register(farm)
        world.scores(farm, {"ewe": "2", "score": 2.0}, {"ewe": "1", "score": 5.0}, file=f"{farm}.csv")
    world.build()
    for table in sorted(set(models.TABLES) - {"ewe_history"}):
        order = ", ".join(f'"{name}" nulls first' for name in models.KEYS[table])
        assert (
            world.table(table)
            == world.connection.execute(f"select * from marts.{table} order by {order}").fetchall()
        )


def test_every_sql_file_says_what_one_row_is():
    folder = files("pipelines.models")
    for name in ("staging", "marts", "checks"):
        for file in (folder / name).iterdir():
            assert file.read_text(encoding="utf-8").startswith("-- One row is "), file


def test_every_sql_file_of_marts_is_a_published_table():
    named = {file.name.removesuffix(".sql") for file in (files("pipelines.models") / "marts").iterdir()}
    assert named == set(models.TABLES)


@pytest.mark.parametrize(
    "word", ["qualify", "pivot ", "histogram(", "quantile_cont", "datediff", "date_diff", "::"]
)
def test_sql_keeps_to_words_that_other_databases_know(word):
    folder = files("pipelines.models")
    for name in ("staging", "marts", "checks"):
        for file in (folder / name).iterdir():
            code = [
                line for line in file.read_text(encoding="utf-8").splitlines() if not line.startswith("--")
            ]
            assert word not in "\n".join(code).lower(), file


def test_no_number_is_ever_published_that_is_not_one(world):
    world.register("F1")
    world.register("F2", ewes=None, weaned_on=None)
    world.register("F3", rams_in=None)
    world.scores("F1", {"ewe": "1", "score": 1.0})
    world.scores("F2", {"ewe": "1", "score": 5.0, "stage": "pre-tupping"}, file="f2.csv")
    world.build()
    query = """select table_name, column_name from information_schema.columns
        where table_schema = 'marts' and data_type = 'DOUBLE'"""
    for table, column in world.connection.execute(query).fetchall():
        assert world.table(table, f'count(*) filter (isnan("{column}"))') == [0], (table, column)
