"""What the list of ewes says of each, by hand."""

from datetime import date

import pytest


def actions(world, columns, where="true"):
    return world.table("ewe_action", columns, where)


def scored(world, *scores, **common):
    world.register("F1")
    world.scores(
        "F1", *({"ewe": f"{number}", "score": score} for number, score in enumerate(scores)), **common
    )
    world.build()


def test_only_ewes_outside_the_band_are_listed(world):
    scored(world, 2.5, 3.0, 4.0, 4.5)
    assert actions(world, "ewe, score, days_needed, days_left") == [("0", 2.5, 26.0, 37), ("3", 4.5, 0.0, 37)]


@pytest.mark.parametrize(
    ("score", "grazing", "action"),
    [
        (4.5, "ordinary", "over"),
        (1.5, "best", "unlikely in time"),  # needs 78 days, 37 left
        (2.5, "best", "hold"),  # 42 days of best grazing from the day of scoring, 26 needed
        (2.5, "holding", "best grazing"),
    ],
)
def test_the_action_follows_from_days_and_chance(world, score, grazing, action):
    scored(world, *[score] * 20, grazing=grazing)
    assert actions(world, "distinct action") == [action]


def test_only_a_ewe_to_be_rescored_has_a_day_for_it(world):
    scored(world, *[2.0, 2.25, 2.5, 2.75] * 6, *[3.0] * 10, 4.5, 1.5, grazing="ordinary")
    found = set(actions(world, "action, rescore_by"))
    # half a score needs 26 days of best grazing: from 31 August at the latest, to be ready by 26 September
    assert found > {("rescore", date(2026, 8, 31)), ("unlikely in time", None), ("over", None)}
    assert {day for action, day in found if action != "rescore"} == {None}


def test_once_ready_by_is_past_the_list_asks_for_new_scores(world):
    world.choose(as_of=date(2026, 9, 27))
    scored(world, 2.0)
    assert actions(world, "days_left, action, rescore_by") == [(-1, "score again", None)]


def test_a_ewe_thin_three_sessions_running_is_marked_and_others_alike_are_not(world):
    world.register("F1", weaned_on=date(2026, 6, 1))
    for day in (10, 11, 12):
        rows = [{"ewe": "old", "score": 2.5}] + [{"ewe": "new", "score": 2.5}] * (day == 12)
        world.scores("F1", *rows, scored_on=date(2026, 8, day), file=f"{day}.csv")
    world.build()
    marked = dict(actions(world, "ewe, reason like '%thin 3 sessions running%'"))
    assert marked == {"old": True, "new": False}


def test_sessions_running_in_which_she_was_thin_are_counted_back_from_the_latest(world):
    world.register("F1", weaned_on=date(2026, 6, 1))
    history = {10: (2.5, 2.5), 11: (3.0, 2.5), 12: (2.5, None), 13: (2.5, 2.5)}
    for day, scores in history.items():
        rows = [{"ewe": f"{n}", "score": score} for n, score in enumerate(scores) if score]
        world.scores("F1", *rows, scored_on=date(2026, 8, day), file=f"{day}.csv")
    world.build()
    assert actions(world, "ewe, thin_sessions") == [("0", 2), ("1", 3)]


def test_only_a_farms_latest_season_is_listed(world):
    for season in (2025, 2026):
        world.register("F1", season=season, weaned_on=date(season, 7, 1), rams_in=date(season, 10, 10))
        world.scores("F1", {"ewe": "1", "score": 2.0}, scored_on=date(season, 8, 15), file=f"{season}.csv")
    world.build()
    assert actions(world, "season") == [2026]


def test_tallied_ewes_have_no_line_of_their_own(world):
    world.register("F1")
    world.tally("F1", {2.0: 10})
    world.build()
    assert actions(world, "ewe") == []


def test_no_row_of_the_list_contradicts_its_chance(world):
    for farm, grazing, rams_in in (("F1", None, date(2026, 9, 28)), ("F2", "best", date(2026, 10, 10))):
        world.register(farm, rams_in=rams_in)
        rows = [{"ewe": f"{n}", "score": 1.0 + n % 16 / 4} for n in range(160)]
        world.scores(farm, *rows, grazing=grazing, scored_on=date(2026, 7, 20), file=f"{farm}.csv")
    world.build()
    found = actions(world, "action, chance_ready, greatest(chance_ready, chance_on_best)")
    assert {action for action, *_ in found} >= {"hold", "best grazing", "unlikely in time", "over"}
    assert max(better for action, _, better in found if action == "unlikely in time") < 0.5
    assert min(chance for action, chance, _ in found if action == "hold") >= 0.5


def test_a_ewe_thin_three_sessions_running_is_marked(world):
    world.register("F1", weaned_on=date(2026, 6, 1))
    for day in (10, 11, 12):
        rows = [{"ewe": "1", "score": 2.0}, {"ewe": "2", "score": 2.0 if day > 10 else 3.0}]
        world.scores("F1", *rows, scored_on=date(2026, 8, day), file=f"{day}.csv")
    world.build()
    assert actions(world, "ewe, long_thin") == [("1", True), ("2", False)]
    assert "thin 3 sessions running" in actions(world, "reason", "long_thin")[0]
