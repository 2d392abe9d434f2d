"""Groups of whose grazing nothing was written: not taken for ordinary, but learned from others like them."""

from datetime import date

import pytest

JULY, AUGUST = date(2026, 7, 10), date(2026, 8, 20)  # rams in on 10 October: built up for from 15 August
PACES = "early_pace, early_pace_low, early_pace_high, late_pace, late_pace_low, late_pace_high"


def scored(world, farm="F1", *, counts=({2.5: 40},), grazing=None, season=2026):
    world.register(farm, season=season, weaned_on=date(season, 7, 1), rams_in=date(season, 10, 10))
    for day, count in zip((JULY, AUGUST), counts, strict=False):
        day = day.replace(year=season)
        world.tally(farm, count, scored_on=day, grazing=grazing, file=f"{farm}-{grazing}-{day}.csv")


def readiness(world, columns="ready_share, ready_share_low, ready_share_high", farm="F1"):
    (row,) = world.table("readiness", columns, f"\"group\" = 'ALL' and farm = '{farm}' and season = 2026")
    return row


def pace(world, columns=PACES, farm="F1"):
    where = f"grazing = 'not stated' and farm = '{farm}' and season = 2026"
    (row,) = world.table("farm_growth", columns, where)
    return row


def test_before_any_session_speaks_the_pace_is_the_priors(world):
    scored(world)
    world.build()
    # ½ and 0.41903 (worked by hand in test_pace.py), nine times in ten
    wide = 1.6448536 * 0.41903
    assert pace(world) == pytest.approx((0.5, 0.5 - wide, 0.5 + wide) * 2, abs=1e-4)
    assert readiness(world, "grazing, grazing_named, gain_source") == ("ordinary", False, "published range")


def test_writing_the_grazing_down_narrows_the_range(world):
    low, high = {}, {}
    for grazing in (None, "ordinary", "holding"):
        other = type(world)()
        scored(other, grazing=grazing, counts=({2.0: 10, 2.5: 20, 3.0: 10},))
        other.build()
        _, low[grazing], high[grazing] = readiness(other)
    width = {grazing: high[grazing] - low[grazing] for grazing in low}
    assert width[None] > width["ordinary"] and width[None] > width["holding"]


def test_days_of_an_interval_are_parted_eight_weeks_before_the_rams(world):
    scored(world, counts=({2.5: 40}, {2.75: 40}))
    world.build()
    # 10 July to 20 August are 41 days; to 15 August, 56 before 10 October, 36
    assert world.table("growth_interval", "days, early_days") == [(41, 36)]


def test_farms_that_stood_still_after_weaning_speak_for_one_that_has_not_been_seen(world):
    scored(world, counts=({2.5: 40},))
    for number in range(2, 10):
        scored(world, f"F{number}", counts=({2.5: 40}, {2.5: 40}), season=2025)
    world.build()
    early, low, high, late, *_ = pace(world)
    assert early < 0.15 and high - low < 0.7
    assert 0.3 < late < 0.55  # 5 of their 41 days: hardly a word on what comes after


def test_a_farms_own_past_counts_beside_the_practices(world):
    for number in range(1, 9):  # F1 gained half a score after last year's weaning, the others nothing
        after = 3.0 if number == 1 else 2.5
        scored(world, f"F{number}", counts=({2.5: 40}, {after: 40}), season=2025)
        scored(world, f"F{number}")
    world.build()
    first, second = (pace(world, "early_pace, practice_early_pace", farm) for farm in ("F1", "F2"))
    assert first[0] > second[0] + 0.15 and first[1] == second[1]
    assert readiness(world, "ready_share", "F1") > readiness(world, "ready_share", "F2")


def test_what_was_written_teaches_nothing_of_what_was_not(world):
    scored(world, counts=({2.5: 40},))
    for number in range(2, 6):
        scored(world, f"F{number}", counts=({2.5: 40}, {3.5: 40}), grazing="best", season=2025)
    world.build()
    assert pace(world, "early_pace, late_pace, intervals") == (0.5, 0.5, 0)
