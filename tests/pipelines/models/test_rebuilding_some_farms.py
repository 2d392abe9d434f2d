"""A build of the farms that changed leaves the same tables as a build of all of them."""

from datetime import date
from importlib import import_module

import pytest

from .conftest import World


@pytest.fixture(scope="module")
def built_once():
    """Three farms over two seasons, built in full. Only to be copied."""
    world = World()
    for farm in ("F1", "F2", "F3"):
        for season in (2025, 2026):
            rams_in = date(season, 10, 10)
            world.register(farm, season=season, weaned_on=date(season, 7, 1), rams_in=rams_in)
            rows = [{"ewe": f"{n}", "score": 2.0 + n / 4, "scorer": "Ada"} for n in range(9)]
            world.scores(farm, *rows, scored_on=date(season, 8, 10), file=f"{farm}-{season}.csv")
    world.build()
    return world


@pytest.fixture
def built(built_once):
    """A copy of this test's own."""
    return World(built_once)


def ordered(world):
    return {table: sorted(rows, key=repr) for table, rows in world.everything().items()}


def assert_same_as_in_full(world):
    by_farm = ordered(world)
    world.connection.execute("drop schema marts cascade; create schema marts")
    world.build()
    assert by_farm == ordered(world)


def test_a_new_session_changes_its_farm_and_its_neighbours_places(built):
    built.tally("F2", {2.0: 50, 3.0: 50}, file="new.csv")
    before = built.table("farm_standing", "low", "farm = 'F1' and season = 2026")
    built.build(["F2"])
    assert built.table("session_summary", "ewes", "farm = 'F2' and ewes = 100") == [100, 100]
    assert built.table("farm_standing", "low", "farm = 'F1' and season = 2026") != before
    assert_same_as_in_full(built)


def test_what_one_farm_shows_of_holding_reaches_the_others(built):
    (before,) = built.table("farm_growth", "distinct practice_going_on", "farm = 'F1'")
    built.tally("F2", {3.5: 20, 4.5: 180}, scored_on=date(2025, 9, 20), file="before.csv")
    built.tally("F2", {3.5: 20, 4.5: 180}, scored_on=date(2026, 8, 19), file="after.csv")
    built.build(["F2"])
    (after,) = built.table("farm_growth", "distinct practice_going_on", "farm = 'F1'")
    assert after > before  # from 2.0 to 4.0 in August, nearly all went over
    assert_same_as_in_full(built)


def test_a_withdrawn_file_takes_its_session_and_its_warnings_along(built):
    built.withdraw("F1-2026.csv")
    built.build(["F1"])
    assert built.table("import_problem", "distinct file", "code = 'scorer_elsewhere' and value > '2026'") == [
        "F2-2026.csv", "F3-2026.csv"
    ]  # fmt: skip
    assert_same_as_in_full(built)


def test_a_season_that_left_the_register_leaves_the_comparison(built):
    built.withdraw("register-F3-2025.csv")
    built.build(["F3"])
    assert built.table("farm_standing", "farm", "season = 2025 order by farm") == ["F1", "F2"]
    assert built.table("call_list", "farm", "season = 2025 and status = 'cannot be judged'") == ["F3"]
    assert_same_as_in_full(built)


def test_a_new_farm_and_a_retag_are_taken_in(built):
    built.register("F0")
    built.retag("F1", "1", "99")
    built.build(["F0", "F1"])
    assert built.table("ewe_history", "ewe", "farm = 'F1' and ewe = '99'") == ["99", "99"]
    assert_same_as_in_full(built)


def test_what_waits_comes_and_goes_with_the_register(built):
    built.tally("F9", {2.0: 50, 3.0: 50}, file="nine.csv")
    built.build(["F9"])
    assert built.table("held_back", "farm") == ["F9"]
    assert_same_as_in_full(built)
    built.register("F9")
    built.build(["F9"])
    assert built.table("held_back") == built.table("held_back_score") == []
    assert_same_as_in_full(built)


def test_a_farm_that_did_not_change_is_left_alone(built):
    built.connection.execute("update marts.session_summary set ewes = 7777 where farm = 'F1'")
    built.build(["F2"])
    assert 7777 in built.table("session_summary", "ewes")


def test_a_build_says_which_farms_and_seasons_it_replaced(built):
    built.tally("F2", {2.0: 50, 3.0: 50}, file="new.csv")
    some = built.build(["F2"])
    assert (some.everything, some.farms, some.seasons) == (False, {"F2"}, {2026})
    assert built.build(["F2"]).seasons == set()  # nothing has changed since
    whole = built.build()
    assert (whole.everything, whole.farms, whole.seasons) == (True, {"F1", "F2", "F3"}, {2025, 2026})


def test_an_old_session_that_comes_late_is_remembered_by_later_seasons(built):
    built.register("F4", season=2025, weaned_on=date(2025, 7, 1), rams_in=date(2025, 10, 10))
    built.register("F4")
    built.build(["F4"])
    built.tally("F4", {3.0: 50}, scored_on=date(2026, 1, 14), file="late.csv")
    built.build(["F4"])
    assert built.table("call_list", "reason", "farm = 'F4' and season = 2026") == [
        "not scored since 14 Jan 2026; rams in 10 Oct"
    ]


@pytest.mark.parametrize("changed", [{"as_of": date(2026, 8, 21)}, {"thin_limit": 0.2}])
def test_another_day_or_setting_rebuilds_everything(built, changed):
    built.choose(**changed)
    built.connection.execute("update marts.session_summary set ewes = 7777 where farm = 'F1'")
    built.build(["F2"])
    assert 7777 not in built.table("session_summary", "ewes")


def test_a_build_cut_short_is_not_built_upon(built, monkeypatch):
    step = import_module("pipelines.models.build")  # the package gives its function that name too
    monkeypatch.setattr(step, "_comparisons", lambda *_: 1 / 0)
    with pytest.raises(ZeroDivisionError):
        built.build(["F2"])
    monkeypatch.undo()
    built.connection.execute("update marts.session_summary set ewes = 7777 where farm = 'F1'")
    built.build(["F2"])
    assert 7777 not in built.table("session_summary", "ewes")


def test_building_twice_gives_the_same_tables_in_the_same_order(built):
    before = built.everything()
    built.build()
    assert built.everything() == before


def test_the_order_of_import_leaves_no_trace_in_what_is_counted(world):
    def rows(reverse):
        other = type(world)()
        steps = [
            lambda: other.register("F1", file="r1.csv"),
            lambda: other.register("F1", file="r2.csv", ewes=90),
            lambda: other.scores("F1", {"ewe": "1", "score": 2.0}, {"ewe": "2"}, file="a.csv"),
            lambda: other.scores("F1", {"ewe": "1", "score": 4.5}, {"ewe": "3"}, file="b.csv"),
        ]
        for step in reversed(steps) if reverse else steps:
            step()
        other.build()
        return ordered(other)

    assert rows(reverse=False) == rows(reverse=True)


def test_working_tables_are_gone_after_a_build(world):
    named = "select table_name from information_schema.tables where table_schema = 'main'"
    before = world.connection.execute(named).fetchall()
    world.build()
    assert world.connection.execute(named).fetchall() == before


def test_when_what_is_learned_of_the_practice_moves_every_farm_is_rebuilt(built):
    for n in range(8):  # rates that farms were not known to differ by
        for day, score in ((date(2026, 7, 5), 2.0), (date(2026, 8, 10), 2.0 + n / 2)):
            rows = [{"ewe": f"{e}", "score": score} for e in range(30)]
            built.scores("F2", *rows, scored_on=day, group=f"G{n}", grazing="best", file=f"{n}-{day}.csv")
    built.build(["F2"])
    assert_same_as_in_full(built)


def test_a_new_session_leaves_the_seasons_before_as_they_are(built):
    built.tally("F2", {2.0: 50, 3.0: 50}, file="new.csv", scored_on=date(2026, 8, 15))
    built.connection.execute("update marts.session_summary set ewes = 7777 where scored_on = '2025-08-10'")
    built.build({"F2": date(2026, 8, 15)})
    whole_sessions = "farm = 'F2' and \"group\" = 'ALL' order by scored_on"
    assert built.table("session_summary", "ewes", whole_sessions) == [7777, 9, 100]
    built.build(["F2"])
    assert 7777 not in built.table("session_summary", "ewes", "farm = 'F2'")


def test_a_ewe_is_followed_from_a_season_that_stays_as_it_is(built):
    lean = [{"ewe": "1", "score": 1.5}, {"ewe": "2", "score": 4.5, "stage": "pre-tupping"}]
    built.scores("F1", *lean, scored_on=date(2026, 3, 18), stage="lambing", file="lambing.csv")
    built.build(["F1"])
    built.scores("F1", {"ewe": "1", "score": 1.5}, {"ewe": "2", "score": 2.0}, scored_on=date(2026, 4, 8),
                 stage="weaning", file="april.csv")  # fmt: skip
    built.build({"F1": date(2026, 4, 8)})
    assert built.table("import_problem", "file", "code = 'score_jump'") == ["april.csv"]
    assert_same_as_in_full(built)


def test_ewes_thin_for_years_are_counted_through_the_seasons(built):
    for day in (date(2025, 9, 10), date(2026, 8, 18)):
        built.scores("F3", {"ewe": "0", "score": 1.5}, scored_on=day, file=f"{day}.csv")
        built.build({"F3": day})
    assert built.table("ewe_action", "thin_sessions", "farm = 'F3' and ewe = '0'") == [4]
    assert_same_as_in_full(built)


def test_the_latest_season_gives_way_to_a_new_one(built):
    built.register("F1", season=2024, weaned_on=date(2024, 7, 1), rams_in=date(2024, 10, 10))
    built.withdraw("F1-2026.csv")
    built.build(["F1"])
    assert set(built.table("ewe_action", "season", "farm = 'F1'")) == {2025}
    built.scores("F1", {"ewe": "4", "score": 1.5}, scored_on=date(2026, 8, 10), file="again.csv")
    built.build({"F1": date(2026, 8, 10)})
    assert set(built.table("ewe_action", "season", "farm = 'F1'")) == {2026}
    assert_same_as_in_full(built)


def test_the_latest_season_falls_back_to_one_before_when_rows_move_its_session(built):
    rows = [{"ewe": f"{n}", "score": 2.0, "stage": "scanning"} for n in range(20, 40)]
    built.scores("F1", *rows, scored_on=date(2026, 8, 10), file="moved.csv")
    built.build({"F1": date(2026, 8, 10)})
    assert set(built.table("ewe_action", "season", "farm = 'F1'")) == {2025}
    assert_same_as_in_full(built)


def test_a_file_with_scores_that_wait_in_two_seasons_is_told_of_once(built):
    for day in (date(2025, 6, 1), date(2026, 6, 1)):  # before weaning
        number = built.scores("F1", {"ewe": "1", "score": 2.0}, scored_on=day, file=f"{day}.csv")
        built.connection.execute("update score_row set file_id = 1e6 where file_id = ?", [number])
    built.file("years.csv")
    built.connection.execute("update source_file set file_id = 1e6 where file = 'years.csv'")
    built.build(["F1"])
    built.tally("F1", {2.0: 50}, scored_on=date(2026, 8, 12), file="new.csv")
    built.build({"F1": date(2026, 8, 12)})
    assert built.table("import_problem", "value", "file = 'years.csv' and code = 'no_stage'") == [
        "2025-06-01"
    ]  # fmt: skip
    assert_same_as_in_full(built)
