"""Season and stage of a session, by date and as stated, from the rules of the contract."""

from datetime import date, timedelta

import pytest

from .conftest import World

WEANED, RAMS_IN = date(2026, 7, 1), date(2026, 10, 10)


STAGES = {
    WEANED - timedelta(days=7): "weaning",
    WEANED: "weaning",
    WEANED + timedelta(days=28): "weaning",
    WEANED + timedelta(days=29): "pre-tupping",
    RAMS_IN - timedelta(days=22): "pre-tupping",
    RAMS_IN - timedelta(days=21): "tupping",
    RAMS_IN + timedelta(days=21): "tupping",
    RAMS_IN + timedelta(weeks=6): "scanning",
    RAMS_IN + timedelta(weeks=16) - timedelta(days=1): "scanning",
    RAMS_IN + timedelta(weeks=16): "lambing",
    RAMS_IN + timedelta(days=160): "lambing",
}
BETWEEN = [WEANED + timedelta(days=days) for days in (-8, 101 + 22, 101 + 41)]


def on(world, scored_on, farm="F1", **common):
    world.register(farm, weaned_on=WEANED, rams_in=RAMS_IN)
    world.tally(farm, {3.0: 10}, scored_on=scored_on, file=f"{farm}.csv", **common)


@pytest.fixture(scope="module")
def scored():
    """A farm for each of these days, named by it, with one session on it."""
    world = World()
    for day in (*STAGES, *BETWEEN):
        on(world, day, f"F {day}")
    world.build()
    return world


@pytest.mark.parametrize("day", STAGES)
def test_a_session_without_a_stage_gets_it_from_its_date(scored, day):
    found = scored.table("session_summary", "stage, season", f"farm = 'F {day}' and \"group\" = 'ALL'")
    assert found == [(STAGES[day], 2026)]


@pytest.mark.parametrize("day", BETWEEN)
def test_a_date_between_the_stages_is_held_back(scored, day):
    assert scored.table("session_summary", where=f"farm = 'F {day}'") == []
    assert scored.table("import_problem", "code", f"file = 'F {day}.csv'") == ["no_stage"]


def test_a_stage_that_is_stated_goes_before_the_date(world):
    on(world, WEANED + timedelta(days=29), stage="weaning")
    world.build()
    assert world.table("session_summary", "distinct stage") == ["weaning"]


def test_a_session_has_the_stage_of_most_of_its_rows(world):
    world.register("F1")
    rows = [{"ewe": str(number), "stage": "tupping" if number else "weaning"} for number in range(3)]
    world.scores("F1", *rows)
    world.build()
    assert world.table("session_summary", "distinct stage") == ["tupping"]
    assert world.table("import_problem", "code, line, value") == [("stage_differs", 2, "weaning")]


def two_seasons(world):
    for season in (2025, 2026):
        world.register("F1", season=season, weaned_on=date(season, 7, 1), rams_in=date(season, 10, 10))


@pytest.mark.parametrize(
    ("scored_on", "season"),
    [
        (date(2025, 10, 10) + timedelta(days=160), 2025),
        (date(2025, 10, 10) + timedelta(days=161), 2026),
        (date(2025, 10, 10) - timedelta(days=259), 2025),
    ],
)
def test_the_season_turns_after_lambing(world, scored_on, season):
    two_seasons(world)
    world.tally("F1", {3.0: 10}, scored_on=scored_on, stage="scanning")
    world.build()
    assert world.table("session_summary", "distinct season") == [season]


def test_a_session_long_before_any_tupping_is_held_back(world):
    two_seasons(world)
    world.tally("F1", {3.0: 10}, scored_on=date(2025, 10, 10) - timedelta(days=260), stage="scanning")
    world.build()
    assert world.table("import_problem", "code, value") == [("no_season", "2025-01-23")]
