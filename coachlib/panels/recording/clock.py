"""Elapsed time as a coach reads and types it: ``1:05:00``."""

import math
import re

from coachlib.errors import DecisionProblem

_CLOCK = re.compile(r"(?:(\d{1,3}):)?(\d{1,3}):(\d{1,2}(?:[.,]\d+)?)")
_MINUTES = re.compile(r"\d{1,4}(?:[.,]\d+)?")


def clock(seconds: float) -> str:
    """Elapsed seconds as ``h:mm:ss``, rounded to the second.

    Examples
    --------
    >>> clock(3905)
    '1:05:05'
    """
    whole = math.floor(seconds + 0.5)
    return f"{whole // 3600}:{whole // 60 % 60:02d}:{whole % 60:02d}"


def seconds_of(text: str) -> float:
    """Elapsed seconds from ``h:mm:ss``, ``m:ss`` or a plain number of minutes.

    Parameters
    ----------
    text : str
        What was typed.

    Returns
    -------
    float
        Elapsed time. [s]

    Raises
    ------
    DecisionProblem
        When the text is none of the three.

    Notes
    -----
    A bare number means minutes, as in "start at 15".

    Examples
    --------
    >>> seconds_of("1:05:05"), seconds_of("15:30"), seconds_of("15")
    (3905.0, 930.0, 900.0)
    """
    typed = text.strip()
    if found := _CLOCK.fullmatch(typed):
        hours, minutes, seconds = found.groups(default="0")
        return 3600.0 * int(hours) + 60.0 * int(minutes) + float(seconds.replace(",", "."))
    if _MINUTES.fullmatch(typed):
        return 60.0 * float(typed.replace(",", "."))
    raise DecisionProblem(
        f"a time was asked for, but “{typed}” is none. Type 1:05:00, or 65:00, or 65 for minutes."
    )
