from datetime import date

import pytest

from pipelines.readiness.decisions import Ewe, decide, thin_running

TODAY, READY = date(2026, 8, 27), date(2026, 10, 22)  # 56 days


@pytest.mark.parametrize(
    ("ewe", "action"),
    [
        (Ewe(3.5, 3.0, 4.0, 0.9, 0.8), "hold"),
        (Ewe(2.75, 3.0, 4.0, 0.85, 0.95), "hold"),
        (Ewe(2.5, 3.0, 4.0, 0.6, 0.9), "rescore"),
        (Ewe(2.25, 3.0, 4.0, 0.3, 0.8), "best grazing"),
        (Ewe(1.75, 3.0, 4.0, 0.05, 0.4), "unlikely in time"),  # 1.25 × 52 = 65 days, 56 left
        (Ewe(4.5, 3.0, 4.0, 0.2, 0.1), "over"),
    ],
)
def test_each_ewe_gets_the_action_that_fits_her(ewe, action):
    assert decide(ewe, TODAY, READY).action == action


def test_rescoring_comes_in_three_weeks_or_while_best_grazing_can_still_help():
    early = decide(Ewe(2.75, 3.0, 4.0, 0.6, 0.9), TODAY, READY)
    assert early.rescore_by == date(2026, 9, 17)
    # half a score needs 26 days, so 26 September is the last day; from the 10th three weeks would be too long
    late = decide(Ewe(2.5, 3.0, 4.0, 0.6, 0.9), date(2026, 9, 10), READY)
    assert late.rescore_by == date(2026, 9, 26) and "26 September" in late.reason


def test_reasons_are_in_words_with_days_and_chances():
    thin = decide(Ewe(2.25, 3.0, 4.0, 0.3, 0.8), TODAY, READY)
    assert thin.reason == "needs 39 days on best grazing, 56 left; 80% likely there, 30% where she is"
    late = decide(Ewe(1.5, 3.0, 4.0, 0.0, 0.1), date(2026, 9, 22), READY)
    assert late.reason == (
        "needs 78 days on best grazing, 30 left: examine, and decide on culling with the vet"
    )


def test_a_ewe_thin_three_sessions_running_is_marked():
    found = decide(Ewe(2.25, 3.0, 4.0, 0.3, 0.8, thin_sessions=3), TODAY, READY)
    assert found.long_thin and found.reason.endswith("thin 3 sessions running: worth examining with the vet")
    assert not decide(Ewe(2.25, 3.0, 4.0, 0.3, 0.8, thin_sessions=2), TODAY, READY).long_thin


def test_after_ready_by_a_thin_ewe_is_too_late_and_says_so():
    assert "none left" in decide(Ewe(2.5, 3.0, 4.0, 0.6, 0.6), date(2026, 10, 25), READY).reason


@pytest.mark.parametrize(
    ("scores", "lows", "running"),
    [([2, 2, 2], [2.25, 3, 3], 3), ([2, 3, 2], [2.25, 3, 3], 1), ([2, 3], [2.25, 3], 0), ([], [], 0)],
)
def test_sessions_running_are_counted_back_from_the_latest(scores, lows, running):
    assert thin_running(scores, lows) == running
