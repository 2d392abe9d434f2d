"""Which rows count, and for which ewe."""

from datetime import date

import pytest


def ewes(world):
    return world.table("session_summary", "ewes", "\"group\" = 'ALL'")


def test_a_ewe_recorded_twice_counts_once_with_her_last_line(world):
    world.register("F1")
    world.scores("F1", {"ewe": "1", "score": 2.0}, {"ewe": "2"}, {"ewe": "1", "score": 3.5})
    world.build()
    assert ewes(world) == [2]
    assert sorted(world.table("ewe_history", "ewe, score")) == [("1", 3.5), ("2", 3.0)]


@pytest.mark.parametrize("order", [("a.csv", "b.csv"), ("b.csv", "a.csv")])
def test_in_two_files_the_last_by_name_counts_whichever_came_first(world, order):
    world.register("F1")
    for file in order:
        world.scores("F1", {"ewe": "1", "score": 2.0 if file == "a.csv" else 3.5}, file=file)
    world.build()
    assert world.table("ewe_history", "score") == [3.5]
    found = world.table("import_problem", "file, line, code, severity, value")
    assert found == [("a.csv", 2, "ewe_repeated", "warning", "1")]


@pytest.mark.parametrize("status", ["superseded", "withdrawn", "duplicate", "refused"])
def test_a_file_that_does_not_count_leaves_no_trace_but_in_the_ledger(world, status):
    world.register("F1")
    world.scores("F1", {"ewe": "1"}, file="kept.csv")
    gone = world.scores("F1", {"ewe": "2"}, file="gone.csv")
    world.status(gone, status)
    world.build()
    assert ewes(world) == [1]
    assert world.table("import_file", "status", "file = 'gone.csv'") == [status]


def test_a_retagged_ewe_is_one_ewe_under_her_last_tag(world):
    world.register("F1")
    for day, tag in ((10, "old"), (11, "middle"), (12, "new")):
        world.scores("F1", {"ewe": tag}, scored_on=date(2026, 8, day), file=f"{day}.csv")
    world.retag("F1", "old", "middle")
    world.retag("F1", "middle", "new")
    world.build()
    assert world.table("ewe_history", "distinct ewe") == ["new"]


def test_a_tag_is_followed_within_its_own_farm_only(world):
    for farm in ("F1", "F2"):
        world.register(farm)
        world.scores(farm, {"ewe": "old"}, file=f"{farm}.csv")
    world.retag("F1", "old", "new")
    world.build()
    assert sorted(world.table("ewe_history", "farm, ewe")) == [("F1", "new"), ("F2", "old")]


def test_a_ring_of_retags_does_not_hang_the_build(world):
    world.register("F1")
    world.scores("F1", {"ewe": "1"})
    world.retag("F1", "1", "2")
    world.retag("F1", "2", "1")
    world.build()
    assert ewes(world) == [1]


def test_a_second_scorers_row_counts_nowhere_but_in_the_pairs(world):
    world.register("F1")
    world.scores("F1", {"ewe": "1", "score": 2.5, "scorer": "Ada"})
    second = {"score": 3.0, "scorer": "Bo", "note": "recalibration pair"}
    world.scores("F1", {"ewe": "1"} | second, {"ewe": "9"} | second, file="second.csv")
    world.build()
    assert ewes(world) == [1]
    assert world.table("scorer_pair") == [("F1", date(2026, 8, 15), "1", "Ada", 2.5, "Bo", 3.0)]
    assert world.table("import_problem", "file, line, code") == [("second.csv", 3, "second_score_alone")]


def test_another_note_does_not_make_a_row_a_second_score(world):
    world.register("F1")
    world.scores("F1", {"ewe": "1", "note": "Recalibration pair?"})
    world.build()
    assert ewes(world) == [1]


def test_tallied_and_identified_ewes_of_a_session_add_up(world):
    world.register("F1")
    world.scores("F1", {"ewe": "1"}, {"ewe": None}, {"ewe": None, "count": 5, "score": 2.0})
    world.build()
    assert world.table("score_distribution", "score, ewes") == [(2.0, 5), (3.0, 2)]


def test_of_two_registers_the_last_by_name_is_believed(world):
    world.register("F1", file="b.csv", ewes=300)
    world.register("F1", file="a.csv", ewes=100)
    world.build()
    assert world.table("farm_season", "farm, ewes") == [("F1", 300)]
    assert world.table("import_problem", "file, line, code") == [("a.csv", 2, "register_row_repeated")]
