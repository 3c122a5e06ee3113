"""What is said about two tests held against each other."""

from collections.abc import Callable
from datetime import date

from coachlib.report.words import wording

SENTENCES: dict[str, Callable[..., str]] = {
    "medicine changed between the tests": lambda on: (
        f"a medicine that changes heart rate changed on {wording.full_date(on)}, between the two: they cannot be compared"
    ),
    "setting of a test not known": lambda: (
        "speed or power of one of them is not known, so heart rates cannot be compared; type its stages in"
    ),
    "no slope for the sport": lambda sport: (
        f"the settings differ, and by how much heart rate follows output in {sport or 'this sport'} is not known: repeat "
        "the test at one setting"
    ),
    "tests not equally hard": lambda apart_bpm: (
        f"the first halves lie {abs(apart_bpm):.0f} bpm apart; drift grows with heart rate by itself, so its change says "
        "nothing"
    ),
    "unwell at one of two tests": lambda on: f"illness or pain is noted on {wording.day_and_month(on)}",
    "temperature of two tests not known": lambda n: (
        f"the air temperature of {'one' if n == 1 else 'both'} is not known, and taken as cool"
    ),
    "one of two tests is short": lambda on, minutes: (
        f"the window of {wording.day_and_month(on)} has {minutes:.0f} min: brought to an hour it is less sure"
    ),
}


def hr_change(size: float, low: float, high: float, call: str, *, since: date, is_moved: bool) -> str:
    """The change of heart rate at one setting, with what it means.

    Examples
    --------
    >>> hr_change(-9.0, -14.8, -3.2, "clear", since=date(2026, 9, 3), is_moved=False)
    'At the same setting heart rate was 9 bpm lower than on 3 September (3 to 15): clear, more than one day differs from another.'
    >>> hr_change(1.2, -4.6, 7.0, "cannot tell", since=date(2026, 9, 3), is_moved=True)
    'Brought to the same setting heart rate was 1 bpm higher than on 3 September (−5 to 7): one day differs from another by as much.'
    """
    at = "Brought to the same setting" if is_moved else "At the same setting"
    sign = -1 if size < 0 else 1
    ends = sorted((sign * low, sign * high))
    said = (
        f"{at} heart rate was {wording.heart_rate(abs(size))} {'lower' if size < 0 else 'higher'} than on "
        f"{wording.day_and_month(since)} ({wording.minus(ends[0], 0)} to {wording.minus(ends[1], 0)})"
    )
    return f"{said}: {_sure(call)}."


def drift_change(size: float, low: float, high: float, call: str) -> str:
    """The change of drift over an hour.

    Examples
    --------
    >>> drift_change(-2.1, -4.6, 0.4, "possible")
    'Heart rate drifted 2.1 points less over an hour (−0.4 to 4.6): possible, no more than that.'
    """
    sign = -1 if size < 0 else 1
    ends = sorted((sign * low, sign * high))
    said = (
        f"Heart rate drifted {abs(size):.1f} points {'less' if size < 0 else 'more'} over an hour "
        f"({wording.minus(ends[0], 1)} to {wording.minus(ends[1], 1)})"
    )
    return f"{said}: {_sure(call)}."


def _sure(call: str) -> str:
    if call == "cannot tell":
        return "one day differs from another by as much"
    return (
        "possible, no more than that"
        if call == "possible"
        else f"{call}, more than one day differs from another"
    )
