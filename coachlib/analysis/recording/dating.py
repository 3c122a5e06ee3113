"""Whether a recording's date can be, and in whose time it is told."""

from datetime import date, timedelta

from coachlib.measures.common.codes import Code, code
from coachlib.records.activity import Activity

#: Recordings dated earlier come from a device whose clock was not set.  Own choice: the format began to be
#: used years later.
FIRST_POSSIBLE_ON = date(2000, 1, 1)


def odd_date(on: date, *, today: date) -> Code | None:
    """Why a recording cannot be of a day: it moves nobody's week, is named and left out; None where it can.

    Parameters
    ----------
    on : date
        The recording's day.
    today : date
        The day on which this is asked; a day ahead is let be, for it may be tomorrow where the athlete lives.

    Examples
    --------
    >>> odd_date(date(2031, 1, 1), today=date(2026, 11, 22)).name
    'dated in the future'
    """
    if on > today + timedelta(days=1):
        return code("dated in the future", on=on, today=today)
    return code("clock not set", on=on) if on < FIRST_POSSIBLE_ON else None


def is_utc_taken(activity: Activity, time_zone: str | None) -> bool:
    """Whether neither the file nor the roster knows the zone that gives days and hours."""
    is_local_already = any(c.name == "counted from power-on" for c in activity.caveats)
    return not time_zone and activity.utc_offset_s is None and not is_local_already


def has_true_date(activity: Activity, *, today: date) -> bool:
    """Whether a recording's own clock can be believed; one that was not set counts from when it was switched on."""
    is_counted = any(c.name == "counted from power-on" for c in activity.caveats)
    return not is_counted and odd_date(activity.started_at.date(), today=today) is None
