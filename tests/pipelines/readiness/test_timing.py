from datetime import date

import pytest

from pipelines.readiness.timing import (
    days_needed,
    last_useful_date,
    weighted_median,
    why_not,
)

READY, RAMS = date(2026, 10, 22), date(2026, 11, 5)


@pytest.mark.parametrize(
    ("score", "low", "rate", "days"),
    [
        (2.0, 3.0, 45, 45),  # one score, 45 days a score
        (2.5, 3.5, 56, 56),  # one score at 8 weeks a score
        (2.25, 3.0, 52, 39),  # three quarters of 52
        (3.0, 3.0, 52, 0),
        (3.5, 3.0, 52, 0),
    ],
)
def test_days_needed_worked_by_hand(score, low, rate, days):
    assert days_needed(score, low, rate) == pytest.approx(days)


def test_last_useful_dates_by_hand():
    # 8 weeks before 22 October is 27 August; 26 days before is 26 September
    assert last_useful_date(2.0, 3.0, READY, 56) == date(2026, 8, 27)
    assert last_useful_date(2.5, 3.0, READY) == date(2026, 9, 26)
    assert last_useful_date(3.0, 3.0, READY) == READY


def test_grazing_without_gain_has_no_last_useful_date():
    with pytest.raises(ValueError, match="do not gain"):
        last_useful_date(2.0, 3.0, READY, float("inf"))
    assert last_useful_date(3.0, 3.0, READY, float("inf")) == READY


def test_the_median_counts_ewes_and_not_cells():
    assert weighted_median([13, 26, 52], [1, 1, 5]) == 52
    assert weighted_median([13.0], [0]) is None


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"scored_on": date(2026, 11, 20)}, "rams went in on 2026-11-05, before this session"),
        ({"scored_on": None}, "session has no date"),
        ({"rams_in": None}, "no rams_in date"),
        ({"low": None}, "no target for this system"),
        ({"high": float("nan")}, "no target for this system"),
        ({"ewes": 0}, "no ewe of the group has been scored"),
    ],
)
def test_what_cannot_be_projected_says_why_and_what_to_do(change, words):
    known = {
        "scored_on": date(2026, 8, 14),
        "rams_in": RAMS,
        "ready_by": READY,
        "low": 3.0,
        "high": 4.0,
        "ewes": 1,
    }
    assert why_not(**known) is None
    reason = why_not(**{**known, **change})
    assert reason.startswith("cannot be projected because") and words in reason
