from datetime import date
from itertools import product

import pytest

from pipelines.readiness.decisions import Days, Ewe, decide, thin_running, unlikely

TODAY, READY = date(2026, 8, 27), date(2026, 10, 22)  # 56 days
DAYS = Days(date(2026, 8, 20), TODAY, READY)


@pytest.mark.parametrize(
    ("ewe", "action"),
    [
        (Ewe(3.5, 3.0, 4.0, 0.9, 0.8), "hold"),
        (Ewe(2.75, 3.0, 4.0, 0.85, 0.95), "hold"),
        (Ewe(2.5, 3.0, 4.0, 0.6, 0.9), "rescore"),
        (Ewe(2.25, 3.0, 4.0, 0.3, 0.8), "best grazing"),
        (Ewe(1.75, 3.0, 4.0, 0.05, 0.4), "unlikely in time"),
        (Ewe(1.75, 3.0, 4.0, 0.05, 0.6), "best grazing"),  # 65 days and 56 left, yet likelier than not
        (Ewe(4.5, 3.0, 4.0, 0.2, 0.1), "over"),
    ],
)
def test_each_ewe_gets_the_action_that_fits_her(ewe, action):
    assert decide(ewe, DAYS).action == action


def test_no_action_contradicts_the_chance():
    hundredths = [each / 100 for each in range(0, 101, 3)] + [0.495, 0.4949, 0.4999, 0.5]
    for score, now, best, as_of in product((1.5, 2.5, 2.75), hundredths, hundredths, (TODAY, READY)):
        found = decide(Ewe(score, 3.0, 4.0, now, best), Days(DAYS.scored_on, as_of, READY))
        if found.action == "unlikely in time":
            assert max(now, best) < 0.5
        if found.action in ("hold", "rescore"):
            assert now >= 0.5
        if found.action == "best grazing":
            assert f"{100 * max(now, best):.0f}" >= "50"  # as it reads on the screen


def test_it_is_too_late_for_one_and_a_half_scores_with_thirty_days_left():
    # 1.5 scores at 52 days a score are 78 days; at the fastest published rate, 40, still 60
    late = decide(Ewe(1.5, 3.0, 4.0, 0.0, 0.01), Days(date(2026, 9, 22), date(2026, 9, 22), READY))
    assert late.action == "unlikely in time"
    assert late.reason == (
        "0 % likely to be ready by 22 October where she is, 1 % on best grazing from now; from 1.5 the usual "
        "rate needs 78 days, 30 left: examine, and decide on culling with the vet"
    )


def test_where_arithmetic_and_chance_differ_the_reason_says_why():
    days = Days(date(2026, 9, 8), date(2026, 9, 27), READY)  # 25 left, 19 since scoring
    ready = decide(Ewe(2.5, 3.0, 4.0, 0.85, 0.9), days)
    assert ready.action == "hold"
    assert "the usual rate needs 26 days, 25 left, but she has had 19 days since scoring" in ready.reason
    slow = decide(Ewe(2.5, 3.0, 4.0, 0.2, 0.4), DAYS)
    assert "needs 26 days, 56 left, but allowing for the pace here" in slow.reason


def test_rescoring_comes_in_three_weeks_or_while_best_grazing_can_still_help():
    assert decide(Ewe(2.75, 3.0, 4.0, 0.6, 0.9), DAYS).rescore_by == date(2026, 9, 17)
    # half a score needs 26 days, so 26 September is the last day; from the 10th three weeks would be too long
    late = decide(Ewe(2.5, 3.0, 4.0, 0.6, 0.9), Days(TODAY, date(2026, 9, 10), READY))
    assert late.rescore_by == date(2026, 9, 26) and "26 September" in late.reason


def test_a_ewe_thin_three_sessions_running_is_marked():
    found = decide(Ewe(2.25, 3.0, 4.0, 0.3, 0.8, thin_sessions=3), DAYS)
    assert found.long_thin and found.reason.endswith("thin 3 sessions running: worth examining with the vet")
    assert not decide(Ewe(2.25, 3.0, 4.0, 0.3, 0.8, thin_sessions=2), DAYS).long_thin


def test_after_the_day_to_be_ready_nothing_is_decided_on_old_scores():
    with pytest.raises(ValueError, match="is past: score her again"):
        decide(Ewe(2.5, 3.0, 4.0, 0.6, 0.6), Days(TODAY, date(2026, 10, 23), READY))


def test_unlikely_is_read_from_the_better_chance_in_whole_per_cent():
    assert unlikely([0.1, 0.1, 0.496, 0.494], [0.6, 0.2, 0.1, 0.1]).tolist() == [False, True, False, True]


@pytest.mark.parametrize(
    ("scores", "lows", "running"),
    [([2, 2, 2], [2.25, 3, 3], 3), ([2, 3, 2], [2.25, 3, 3], 1), ([2, 3], [2.25, 3], 0), ([], [], 0)],
)
def test_sessions_running_are_counted_back_from_the_latest(scores, lows, running):
    assert thin_running(scores, lows) == running
