"""ISO or day first, never month first."""

from __future__ import annotations

from datetime import date

import pytest

from pipelines.imports.date_cells import day, is_ambiguous, past_day

TODAY = date(2026, 11, 25)


@pytest.mark.parametrize(
    "text",
    ["2026-08-04", "2026/08/04", "20260804", "04/08/2026", "4/8/2026", "04.08.2026", "04-08-2026",
    "4 Aug 2026",
     "4-Aug-2026", "4th August 2026", "2026-08-04T09:30:00", "2026-08-04 00:00", " 04/08/2026 "],
)  # fmt: skip
def test_a_day_is_read_day_first(text):
    assert past_day(text, TODAY) == date(2026, 8, 4)


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("08/14/2026", "date_month_first"), ("31/02/2026", "date_impossible"),
        ("2026-13-01", "date_impossible"),
        ("13/13/2026", "date_impossible"), ("04/08/26", "date_year_two_digits"),
        ("4-Aug-26", "date_year_two_digits"), ("46238", "date_serial_number"),
        ("2026-11-26", "date_in_future"),
        ("2206-08-04", "date_implausible"), ("1926-08-04", "date_implausible"),
        ("August", "date_not_understood"),
        ("2026-08", "date_not_understood"), ("4/8-2026", "date_not_understood"),
        ("2026-08-04x", "date_not_understood"), ("4 Foo 2026", "date_not_understood"),
    ],
)  # fmt: skip
def test_anything_else_is_named(text, code):
    assert past_day(text, TODAY).code == code


def test_a_month_first_date_is_told_in_iso():
    assert "2026-08-14" in past_day("08/14/2026", TODAY).message


def test_rams_may_go_in_next_year_but_not_next_century():
    assert day("2027-10-20", TODAY) == date(2027, 10, 20)
    assert day("2126-10-20", TODAY).code == "date_implausible"


@pytest.mark.parametrize(
    ("text", "ambiguous"),
    [
        ("08/04/2026", True),
        ("8/8/2026", False),
        ("14/08/2026", False),
        ("2026-08-04", False),
        ("4 Aug 2026", False),
    ],
)
def test_only_a_date_that_would_change_is_ambiguous(text, ambiguous):
    assert is_ambiguous(text) is ambiguous


def test_a_file_that_writes_the_month_first_loses_its_ambiguous_dates_too(session, codes):
    parsed = session("A,08/04/2026,G,1,2", "A,08/14/2026,G,2,2", "A,2026-08-04,G,3,2", "A,20/08/2026,G,4,2")
    assert codes(parsed) == [(2, "day_month_swapped"), (3, "date_month_first")]
    assert parsed.table["scored_on"].to_pylist() == [date(2026, 8, 4), date(2026, 8, 20)]
