"""Farms are compared within season, stage and system, by their latest session there."""

from datetime import date

import pytest


def farms(world, **systems):
    for farm, system in systems.items():
        world.register(farm, system=system)


def test_farms_of_other_systems_are_no_part_of_the_comparison(world):
    farms(world, F1="lowland", F2="lowland", F3="hill")
    for farm in ("F1", "F2", "F3"):
        world.tally(farm, {2.0: 10, 3.0: 30}, file=f"{farm}.csv")
    world.build()
    assert world.table("farm_standing", "farm, farms", "true") == [("F3", 1), ("F1", 2), ("F2", 2)]


def test_the_farm_with_most_thin_ewes_ranks_first(world):
    farms(world, F1="lowland", F2="lowland", F3="lowland")
    for farm, thin in (("F1", 10), ("F2", 60), ("F3", 30)):
        world.tally(farm, {2.0: thin, 3.0: 100 - thin}, file=f"{farm}.csv")
    world.build()
    assert world.table("farm_standing", "farm, rank") == [("F2", 1), ("F3", 2), ("F1", 3)]


def test_a_small_sample_is_drawn_towards_the_others(world):
    names = [f"F{number}" for number in range(8)]
    farms(world, **dict.fromkeys(names, "lowland"))
    for farm in names[1:]:
        world.tally(farm, {2.0: 10, 3.0: 90}, file=f"{farm}.csv")
    world.tally("F0", {2.0: 3, 3.0: 7}, file="F0.csv")
    world.build()
    raw, adjusted = world.table("farm_standing", "thin_share, adjusted_thin_share", "farm = 'F0'")[0]
    assert raw == pytest.approx(0.3)
    assert 0.1 < adjusted < 0.2


def test_the_latest_session_at_a_stage_stands_for_it(world):
    farms(world, F1="lowland")
    for day, thin in ((10, 50), (15, 20)):
        world.tally("F1", {2.0: thin, 3.0: 50}, scored_on=date(2026, 8, day), file=f"{day}.csv")
    world.build()
    assert world.table("farm_standing", "scored_on, thin, ewes") == [(date(2026, 8, 15), 20, 70)]


def test_the_limit_is_the_advisers(world):
    world.choose(thin_limit=0.35)
    farms(world, F1="lowland")
    world.tally("F1", {2.0: 60, 3.0: 140})
    world.build()
    assert world.table("farm_standing", '"limit", chance_too_many_thin') == [
        (0.35, 0.0)
    ]  # 30 % of the whole flock


def test_a_session_after_today_is_not_compared_yet(world):
    # contract: --as-of sets what 'today' means wherever the day matters; today is 20 August
    farms(world, F1="lowland")
    for day, thin in ((15, 20), (21, 50)):
        world.tally("F1", {2.0: thin, 3.0: 50}, scored_on=date(2026, 8, day), file=f"{day}.csv")
    world.build()
    assert world.table("farm_standing", "scored_on, thin, ewes") == [(date(2026, 8, 15), 20, 70)]
