"""Planned days as a calendar that phones import."""

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta

from icalendar import Calendar, Event

from coachlib import __version__


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One planned session: its day, what it is in a few words, and what more there is to say.

    ``nth`` tells the sessions of one day apart.
    """

    on: date
    nth: int
    summary: str
    details: str = ""


def calendar_bytes(entries: Sequence[Entry], *, whose: str, now: datetime) -> bytes:
    r"""A calendar with one whole-day event a planned session.

    Parameters
    ----------
    entries : sequence of Entry
        What is planned.
    whose : str
        What tells this athlete from others; it goes into the events' identifiers as a checksum.
    now : datetime
        The aware instant of writing: a later calendar's events take the place of an earlier one's of the same days.

    Source
    ------
    Desruisseaux, B. (2009). RFC 5545: UID, DTSTAMP in UTC, DTSTART as a day without time zone, DTEND the day after,
    SEQUENCE that rises with each revision (here the minutes since 2020, own choice).

    Examples
    --------
    >>> written = calendar_bytes([Entry(on=date(2026, 12, 1), nth=1, summary="easy, 50 min")], whose="mira",
    ...                          now=datetime(2026, 11, 30, 8, tzinfo=UTC))
    >>> [line for line in written.decode().splitlines() if line.startswith(("SUMMARY", "DTSTART"))]
    ['SUMMARY:easy\\, 50 min', 'DTSTART;VALUE=DATE:20261201']
    """
    made = Calendar()
    made.add("prodid", f"-//coachlib//planned days {__version__}//EN")
    made.add("version", "2.0")
    made.add("method", "PUBLISH")
    for entry in entries:
        event = Event()
        key = f"{whose}/{entry.on.isoformat()}/{entry.nth}".encode()
        event.add("uid", f"{hashlib.sha256(key).hexdigest()[:32]}@coachlib.invalid")
        event.add("dtstamp", now.astimezone(UTC).replace(microsecond=0))
        event.add("sequence", int((now - datetime(2020, 1, 1, tzinfo=UTC)).total_seconds() // 60))
        event.add("dtstart", entry.on)
        event.add("dtend", entry.on + timedelta(days=1))
        event.add("summary", entry.summary)
        if entry.details:
            event.add("description", entry.details)
        event.add("transp", "TRANSPARENT")
        made.add_component(event)
    return bytes(made.to_ical())
