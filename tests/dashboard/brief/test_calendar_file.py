import re
from collections.abc import Callable
from datetime import UTC, date, datetime

import pytest
from icalendar import Calendar

from dashboard.brief.calendar import Edition, FarmDates, render
from dashboard.brief.gather import farm_dates
from dashboard.brief.tables import Tables

AS_OF = date(2026, 8, 20)
FIRST = Edition(AS_OF, 7)
LONG = "Ty'n-y-Coed, Upper; Fferm y Ffynhonnau ½ – " * 4


@pytest.fixture
def dates(tables: Callable[..., Tables]) -> FarmDates:
    return farm_dates(tables(name=LONG))


def events(content: bytes) -> dict[str, dict[str, object]]:
    found = Calendar.from_ical(content).walk("VEVENT")
    return {str(event["UID"]): {name: event.decoded(name) for name in event} for event in found}


def test_every_date_of_the_season_is_an_all_day_event(dates: FarmDates) -> None:
    found = events(render("Tupping", [dates], FIRST))
    assert len(found) == 7
    assert {type(event["DTSTART"]) for event in found.values()} == {date}
    rams = next(event for event in found.values() if str(event["SUMMARY"]).endswith("Rams in"))
    # the end is the day after the last, RFC 5545, 3.6.1
    assert (rams["DTSTART"], rams["DTEND"]) == (date(2026, 11, 3), date(2026, 11, 4))


@pytest.mark.parametrize(
    "later", [Edition(AS_OF, 8), Edition(date(2026, 8, 21), 7), Edition(date(2026, 8, 21), 1)],
    ids=["imported again the same day", "the next day", "the next day, rebuilt"],
)  # fmt: skip
def test_uids_stay_the_same_and_the_sequence_grows(dates: FarmDates, later: Edition) -> None:
    before, after = (events(render("Tupping", [dates], edition)) for edition in (FIRST, later))
    assert before.keys() == after.keys()
    for uid, event in before.items():
        assert int(event["SEQUENCE"]) < int(after[uid]["SEQUENCE"])  # RFC 5545, 3.8.7.4
        assert event["LAST-MODIFIED"] < after[uid]["LAST-MODIFIED"]


def test_a_sequence_is_an_integer_that_a_calendar_can_hold() -> None:
    assert Edition(date(2020, 1, 1), 0).sequence() >= 0
    assert Edition(date(2100, 1, 1), 9_999).sequence() < 2**31  # RFC 5545, 3.3.8


def test_no_two_dates_share_a_uid_over_farms_and_seasons(dates: FarmDates) -> None:
    others = [FarmDates("H02", "x", 2026, dates.deadlines), FarmDates("H01", "x", 2027, dates.deadlines)]
    assert len(events(render("Tupping", [dates, *others], FIRST))) == 21


def test_times_are_utc(dates: FarmDates) -> None:
    content = render("Tupping", [dates], FIRST)
    stamps = re.findall(rb"\r\n(?:DTSTAMP|LAST-MODIFIED):(.*)\r\n", content)
    assert {stamp[-1:] for stamp in stamps} == {b"Z"}
    assert all(
        event["DTSTAMP"] == datetime(2026, 8, 20, 0, 0, 7, tzinfo=UTC) for event in events(content).values()
    )


def test_lines_are_folded_to_75_octets_and_unfold_to_the_whole_text(dates: FarmDates) -> None:
    content = render("Tupping", [dates], FIRST)
    assert content.endswith(b"\r\n")
    assert b"\n" not in content.replace(b"\r\n", b"")
    assert max(len(line) for line in content.split(b"\r\n")) <= 75  # RFC 5545, 3.1
    assert all(line.decode("utf-8") is not None for line in content.split(b"\r\n"))  # no character is torn
    unfolded = content.replace(b"\r\n ", b"").decode("utf-8")
    assert "SUMMARY:" + LONG.replace(",", "\\,").replace(";", "\\;") + ": Rams in" in unfolded


def test_equal_data_give_equal_bytes(dates: FarmDates) -> None:
    assert render("Tupping", [dates], FIRST) == render("Tupping", [dates], FIRST)
