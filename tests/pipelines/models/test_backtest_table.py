"""Past sessions predicted from earlier ones only: shares by hand, and nothing from later days."""

from datetime import date

import pytest

JULY, AUGUST = date(2026, 7, 10), date(2026, 8, 15)


def season(world, farm="F1", year=2026, counts=({2.5: 40, 3.0: 60}, {3.0: 30, 3.5: 50, 4.5: 20}), **common):
    world.register(farm, season=year, weaned_on=date(year, 7, 1), rams_in=date(year, 10, 10))
    for day, count in zip((JULY, AUGUST), counts, strict=True):
        when = day.replace(year=year)
        world.tally(farm, count, scored_on=when, file=f"{farm}-{when}.csv", **common)


def rows(world, columns, where="true"):
    return world.table("backtest", columns, where)


def test_each_later_session_is_predicted_by_every_method_and_held_against_what_came(world):
    season(world)
    world.build()
    found = rows(world, "method, scored_on, predicted_on, days, ewes, recorded_ewes, round(observed, 6)")
    assert [row[0] for row in found] == ["nothing changes", "one score in 45 days", "this working"]
    # of the later hundred, 30 + 50 lie inside 3 to 4
    assert {row[1:] for row in found} == {(JULY, AUGUST, 36, 100, 100, 0.8)}


def test_a_session_is_predicted_from_each_before_it(world):
    season(world)
    september = date(2026, 9, 25)
    world.tally("F1", {3.5: 50}, scored_on=september, file="late.csv")
    world.choose(as_of=date(2026, 9, 30))
    world.build()
    pairs = rows(world, "stage, next_stage, days, nearest", "method = 'nothing changes' order by 1, 2, 3")
    assert pairs == [
        ("pre-tupping", "tupping", 41, True),
        ("weaning", "pre-tupping", 36, True),
        ("weaning", "tupping", 77, False),
    ]
    # 3.0, of which 60 in a hundred were in July, is what no change would keep inside 3 to 4
    assert rows(world, "round(expected, 6)", "method = 'nothing changes' and days = 77") == [0.6]


def test_what_lies_between_changes_nothing_of_what_is_predicted_across_it(world):
    def told(between):
        other = type(world)()
        season(other, counts=({2.5: 40, 3.0: 60}, between))
        other.tally("F1", {3.5: 50}, scored_on=date(2026, 9, 25), file="late.csv")
        other.choose(as_of=date(2026, 9, 30))
        other.build()
        return rows(other, "method, expected, low, high, observed", "days = 77")

    assert told({3.0: 100}) == told({2.0: 40, 4.5: 60})


def test_the_rivals_by_hand(world):
    season(world)
    world.build()
    expected = dict(rows(world, "method, round(expected, 6)"))
    assert expected["nothing changes"] == 0.6
    # 36 days bring 0.8 of a score: 2.5 becomes 3.3 and 3.0 becomes 3.8, all inside
    assert expected["one score in 45 days"] == 1.0


def test_what_is_held_fits_the_place_in_the_range(world):
    season(world)
    world.build()
    ((place, held, low, high, observed),) = rows(
        world, "place, held, low, high, observed", "method = 'this working'"
    )
    assert (low <= observed <= high) == (held <= 0.9)
    assert (abs(place - 0.5) <= 0.25) == (held == 0.5)


def test_a_first_session_and_one_after_the_rams_predict_nothing(world):
    world.register("F1")
    world.tally("F1", {3.0: 50})
    world.tally("F1", {3.0: 50}, scored_on=date(2026, 10, 20), file="late.csv")
    world.choose(as_of=date(2026, 10, 25))
    world.build()
    assert rows(world, "farm") == []


def test_what_came_later_changes_no_earlier_prediction(world):
    def first_year(*years):
        other = type(world)()
        for year in years:
            season(other, year=year, grazing="best")
            season(other, "F2", year, ({2.0: 50}, {4.0: 50}), grazing="best")
        other.build()
        return rows(other, "expected, low, high, place", "season = 2025")

    assert first_year(2025) == first_year(2025, 2026)


def test_an_earlier_season_teaches_the_later(world):
    season(world, year=2025, counts=({2.5: 99}, {2.5: 99}), grazing="ordinary")
    season(world, year=2026, counts=({2.5: 99}, {2.5: 99}), grazing="ordinary")
    world.build()
    expected = dict(rows(world, "season, expected", "method = 'this working'"))
    assert expected[2026] < expected[2025]  # in 2025 nothing was known of this farm's slow grass


RIGHT_HELD = ({2.5: 50, 3.5: 50}, {3.5: 100})  # the mean rose by half a score, and none of the 3.5 went over
ALL_GO_ON = ({3.0: 50, 3.5: 50}, {3.5: 40, 4.5: 60})


def test_how_right_ewes_were_held_is_learned_for_later_seasons_alone(world):
    def expected(first_year):
        other = type(world)()
        season(other, year=2025, counts=first_year, grazing="best")
        season(other, year=2026, counts=({3.5: 100}, {3.5: 100}), grazing="best")
        other.build()
        return dict(rows(other, "season, expected", "method = 'this working'"))

    held, free = expected(RIGHT_HELD), expected(ALL_GO_ON)
    assert held[2026] > free[2026] + 0.1  # those at 3.5 would go over
    # of the first season's own outcome nothing is known when it is predicted
    same_start = expected((RIGHT_HELD[0], {2.5: 50, 4.5: 50}))
    assert same_start[2025] == held[2025]


def test_an_adviser_who_knows_of_holding_is_believed_in_past_seasons_too(world):
    season(world, counts=({3.5: 100}, {3.5: 100}), grazing="best")
    found = []
    for said in (True, None, False):
        world.choose(hold_when_right=said)
        world.build()
        found += rows(world, "expected", "method = 'this working'")
    assert found == sorted(found, reverse=True) and len(set(found)) == 3


@pytest.mark.parametrize(("grazing", "named"), [("best", True), (None, False)])
def test_it_is_noted_whether_the_grazing_was_written_down(world, grazing, named):
    season(world, grazing=grazing)
    world.build()
    assert rows(world, "distinct grazing_named") == [named]
