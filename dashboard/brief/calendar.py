"""A farm's season as an iCalendar file (RFC 5545) that a re-import updates rather than doubles.

A UID follows from farm, season and kind of date alone, so the same date keeps it for good. SEQUENCE and
LAST-MODIFIED follow from the day the data are of and from the number of the publication they were read from:
the same publication gives equal bytes, a later one a higher number, within a day too.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from uuid import NAMESPACE_URL, uuid5

from icalendar import Calendar, Event

from dashboard.brief.content import Deadline

_EPOCH = date(2020, 1, 1)
_A_DAY = 10_000  # a day counts for more than a rebuilt warehouse, whose publications are numbered anew


@dataclass(frozen=True, slots=True)
class Edition:
    """Which state of the data a calendar shows: the day they are of, and the publication's number."""

    as_of: date
    generation: int

    def sequence(self) -> int:
        """RFC 5545, 3.8.7.4: a number that grows with every revision, below 2³¹ for centuries."""
        return (self.as_of - _EPOCH).days * _A_DAY + self.generation

    def stamp(self) -> datetime:
        """An instant in UTC that grows in the same way: publications are counted as seconds of the day, since
        the clock would make two exports of one publication differ."""
        return datetime.combine(self.as_of, time(), UTC) + timedelta(seconds=self.generation)


@dataclass(frozen=True, slots=True)
class FarmDates:
    """One farm's dates in one season."""

    farm: str
    name: str
    season: int
    deadlines: tuple[Deadline, ...]


def render(title: str, farms: Iterable[FarmDates], edition: Edition) -> bytes:
    """The calendar of one farm or of a whole practice."""
    calendar = Calendar()
    calendar.add("prodid", "-//tupping-readiness//dates//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    calendar.add("method", "PUBLISH")
    calendar.add("x-wr-calname", title)
    for farm in farms:
        for deadline in farm.deadlines:
            calendar.add_component(_event(farm, deadline, edition))
    return bytes(calendar.to_ical())


def uid(farm: str, season: int, kind: str) -> str:
    """The identity of one date of one farm and season (RFC 7986, 5.3 asks for a UUID)."""
    return str(uuid5(NAMESPACE_URL, f"tupping-readiness/{farm}/{season}/{kind}"))


def _event(farm: FarmDates, deadline: Deadline, edition: Edition) -> Event:
    event = Event()
    event.add("uid", uid(farm.farm, farm.season, deadline.kind))
    event.add("dtstamp", edition.stamp())
    event.add("last-modified", edition.stamp())
    event.add("sequence", edition.sequence())
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
