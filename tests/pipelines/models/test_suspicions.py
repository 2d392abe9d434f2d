"""Warnings across files: the rows are counted all the same, and the adviser is asked to look."""

from datetime import date, timedelta


def found(world, code, columns="file, line, value"):
    return world.table("import_problem", columns, f"code = '{code}' and severity = 'warning'")


def session(world, farm, day, *scores, file=None, **common):
    rows = [{"ewe": f"{number}", "score": score} for number, score in enumerate(scores)]
    world.scores(farm, *rows, scored_on=day, file=file or f"{farm}-{day}.csv", **common)


def test_more_than_one_and_a_half_scores_in_a_month_is_a_jump(world):
    for farm, days, score in (("F1", 31, 3.75), ("F2", 32, 3.75), ("F3", 31, 3.5), ("F4", 31, 2.0)):
        world.register(farm)
        session(world, farm, date(2026, 7, 1), 2.0)
        session(world, farm, date(2026, 7, 1) + timedelta(days), score, file=f"{farm}-later.csv")
    world.build()
    assert found(world, "score_jump") == [("F1-later.csv", 2, "3.75")]


def test_a_drop_is_a_jump_too_and_both_scores_are_said(world):
    world.register("F1")
    session(world, "F1", date(2026, 8, 1), 4.0)
    session(world, "F1", date(2026, 8, 15), 2.0)
    world.build()
    assert "went from 4.0 to 2.0 since 2026-08-01" in found(world, "score_jump", "message")[0]


def test_more_ewes_than_the_register_has_are_suspect(world):
    for farm, ewes in (("F1", 200), ("F2", 201)):
        world.register(farm, ewes=200)
        world.tally(farm, {3.0: ewes}, file=f"{farm}.csv")
    world.build()
    assert found(world, "above_flock_size") == [("F2.csv", 2, "201")]


def test_ten_whole_scores_from_a_scorer_who_used_halves_are_suspect(world):
    scored = {
        "Ada": ([2.5] + [3.0] * 9, [3.0] * 10),
        "Bo": ([2.5] + [3.0] * 9, [3.0] * 9),
        "Cy": ([2.5] + [3.0] * 9, [3.0] * 9 + [3.5]),
        "Di": ([2.0] + [3.0] * 9, [3.0] * 10),
    }
    for scorer, (earlier, now) in scored.items():
        for farm in (f"first of {scorer}", f"next of {scorer}"):
            world.register(farm)
        session(world, f"first of {scorer}", date(2026, 8, 1), *earlier, scorer=scorer)
        session(world, f"next of {scorer}", date(2026, 8, 2), *now, scorer=scorer)
    world.build()
    assert found(world, "whole_scores_only") == [("next of Ada-2026-08-02.csv", 2, "Ada")]


def test_a_scorer_on_two_farms_the_same_day_is_asked_about_on_both(world):
    for farm in ("F1", "F2", "F3"):
        world.register(farm)
    session(world, "F1", date(2026, 8, 1), 3.0, scorer="Ada")
    session(world, "F2", date(2026, 8, 1), 3.0, scorer="Ada")
    session(world, "F3", date(2026, 8, 1), 3.0, scorer="Bo")
    world.build()
    assert found(world, "scorer_elsewhere", "file") == ["F1-2026-08-01.csv", "F2-2026-08-01.csv"]


def test_a_group_counted_in_two_files_is_suspect_and_added_up(world):
    world.register("F1")
    world.tally("F1", {3.0: 20}, file="a.csv")
    session(world, "F1", date(2026, 8, 15), 3.0, file="b.csv")
    world.build()
    assert found(world, "session_in_two_files") == [("a.csv", 2, "Low field"), ("b.csv", 2, "Low field")]
    assert world.table("session_summary", "ewes", "\"group\" = 'ALL'") == [21]


def test_ewes_known_by_tag_may_come_in_two_files(world):
    world.register("F1")
    world.scores("F1", {"ewe": "1"}, file="a.csv")
    world.scores("F1", {"ewe": "2"}, file="b.csv")
    world.build()
    assert found(world, "session_in_two_files") == []


def test_a_ewe_under_two_of_her_tags_in_one_file_is_named(world):
    world.register("F1")
    world.scores("F1", {"ewe": "old"}, {"ewe": "new"})
    world.retag("F1", "old", "new")
    world.build()
    assert found(world, "ewe_repeated") == [("scores.csv", 2, "old")]


def test_warnings_refuse_nothing(world):
    world.register("F1", ewes=1)
    world.tally("F1", {3.0: 20})
    world.build()
    assert world.table("import_file", "status, rows_refused", "kind = 'scores'") == [("imported", 0)]
