"""A farm's season as an iCalendar file (RFC 5545) that a re-import updates rather than doubles.

A UID follows from farm, season and kind of date alone, so the same date keeps it for good. SEQUENCE and
LAST-MODIFIED follow from the day the data are of: equal data give equal bytes, a later day a higher number.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from uuid import NAMESPACE_URL, uuid5

from icalendar import Calendar, Event

from dashboard.brief.content import Deadline

_EPOCH = date(2020, 1, 1)  # SEQUENCE counts days from here: a small number that only grows


@dataclass(frozen=True, slots=True)
class FarmDates:
    """One farm's dates in one season."""

    farm: str
    name: str
    season: int
    deadlines: tuple[Deadline, ...]


def render(title: str, farms: Iterable[FarmDates], as_of: date) -> bytes:
    """The calendar of one farm or of a whole practice, from data as of that day."""
    calendar = Calendar()
    calendar.add("prodid", "-//tupping-readiness//dates//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", title)
    for farm in farms:
        for deadline in farm.deadlines:
            calendar.add_component(_event(farm, deadline, as_of))
    return bytes(calendar.to_ical())


def uid(farm: str, season: int, kind: str) -> str:
    """The identity of one date of one farm and season (RFC 7986, 5.3 asks for a UUID)."""
    return str(uuid5(NAMESPACE_URL, f"tupping-readiness/{farm}/{season}/{kind}"))


def _event(farm: FarmDates, deadline: Deadline, as_of: date) -> Event:
    event = Event()
    stamp = datetime.combine(as_of, time(), UTC)
    event.add("uid", uid(farm.farm, farm.season, deadline.kind))
    event.add("dtstamp", stamp)
    event.add("last-modified", stamp)
    event.add("sequence", (as_of - _EPOCH).days)
    event.add("dtstart", deadline.first)
    event.add("dtend", deadline.last + timedelta(days=1))  # exclusive, RFC 5545, 3.6.1
    event.add("summary", f"{farm.name}: {deadline.what}")
    event.add(
        "description",
        f"{deadline.why[:1].upper()}{deadline.why[1:]}. Farm {farm.farm}, season {farm.season}.",
    )
    event.add("categories", ["tupping", deadline.kind])
    event.add("transp", "TRANSPARENT")  # a date of the flock does not make its people busy
    return event
