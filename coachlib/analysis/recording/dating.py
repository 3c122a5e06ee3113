"""Whether a recording's date can be, and in whose time it is told."""

from datetime import date, timedelta

from coachlib.measures.common.codes import Code, code
from coachlib.records.activity import Activity

#: Recordings dated earlier come from a device whose clock was not set.  Own choice: the format began to be
#: used years later.
FIRST_POSSIBLE_ON = date(2000, 1, 1)
#: Codes of dates that move nobody's week: such a recording is named and left out.
LEAVES_OUT = frozenset({"dated in the future", "clock not set"})


def is_possible(on: date, *, today: date) -> bool:
    """Whether a recording can be of a day: neither in the future nor from before the clock was set.

    Examples
    --------
    >>> is_possible(date(2031, 1, 1), today=date(2026, 11, 22))
    False
    """
    return FIRST_POSSIBLE_ON <= on <= today + timedelta(days=1)


def odd_dates(activity: Activity, *, time_zone: str | None, today: date) -> tuple[Code, ...]:
    """What is to be told about a recording's date.

    Parameters
    ----------
    activity : Activity
        The recording.
    time_zone : str or None
        IANA name of the athlete's zone, else the roster's; None where neither knows it.
    today : date
        The day on which this is asked, in the athlete's own time; a day of difference is never told.

    Returns
    -------
    tuple of Code
        "dated in the future" or "clock not set" (see ``LEAVES_OUT``), and "utc taken" where nobody knows the zone.
    """
    on = activity.started_on(time_zone)
    found = []
    if on > today + timedelta(days=1):
        found.append(code("dated in the future", on=on, today=today))
    elif on < FIRST_POSSIBLE_ON:
        found.append(code("clock not set", on=on))
    is_local_already = any(c.name == "counted from power-on" for c in activity.caveats)
    if not time_zone and activity.utc_offset_s is None and not is_local_already:
        found.append(code("utc taken"))
    return tuple(found)


def has_true_date(activity: Activity) -> bool:
    """Whether a recording's own clock can be believed; one that was not set counts from when it was switched on."""
    is_counted = any(c.name == "counted from power-on" for c in activity.caveats)
    return not is_counted and activity.started_at.date() >= FIRST_POSSIBLE_ON
