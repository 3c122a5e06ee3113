"""Numbers and results as a coach would say them.  The only place where anything is rounded or brought to other units.

One page is for one athlete, so the units that are spoken in are chosen once for all sentences of a page: ``speak`` by
what opens a page for good, ``spoken_in`` by what makes one among others.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date, timedelta
from typing import Protocol

from coachlib.records.athlete import Threshold
from coachlib.records.units import F_AT_ZERO, F_PER_C, FOOT_M, KMH_MPS, MILE_M, MPH_MPS, Units


class KnownDrift(Protocol):
    """Anything with a drift and its interval."""

    @property
    def drift_pct(self) -> float:
        """Drift. [%]"""

    @property
    def drift_low_pct(self) -> float:
        """Lower end. [%]"""

    @property
    def drift_high_pct(self) -> float:
        """Upper end. [%]"""


MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
#: How a change is told: upwards, downwards, on no sure side.
PAST, PARTICIPLE = ("rose", "fell", "changed by"), ("risen", "fallen", "changed by")
DAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]


class _Spoken:
    """The units that are spoken in now."""

    units: Units = "metric"


def speak(units: Units) -> None:
    """Say everything in these units from now on."""
    _Spoken.units = units


def units() -> Units:
    """The units that are spoken in."""
    return _Spoken.units


@contextmanager
def spoken_in(units: Units) -> Iterator[None]:
    """Say everything in these units for a while.

    Examples
    --------
    >>> with spoken_in("imperial"):
    ...     distance(5000), pace(3.125), height(312), temperature(21), speed_unit()
    ('3.1 mi', '8:35 per mile', '1,024 ft', '70 °F', 'mph')
    """
    before = _Spoken.units
    speak(units)
    try:
        yield
    finally:
        speak(before)


def is_imperial() -> bool:
    """Whether miles are spoken in."""
    return _Spoken.units == "imperial"


def duration(seconds: float) -> str:
    """Hours and minutes.

    Examples
    --------
    >>> duration(3840), duration(2700), duration(20)
    ('1 h 04', '45 min', '0 min')
    """
    minutes = round(seconds / 60)
    return f"{minutes // 60} h {minutes % 60:02d}" if minutes >= 60 else f"{minutes} min"


def distance(metres: float) -> str:
    """Kilometres, or miles, with one decimal.

    Examples
    --------
    >>> distance(12345)
    '12.3 km'
    """
    return f"{metres / MILE_M:.1f} mi" if is_imperial() else f"{metres / 1000:.1f} km"


def height(metres: float) -> str:
    """Whole metres, or feet, up or down.

    Examples
    --------
    >>> height(312.4)
    '312 m'
    """
    return f"{metres / FOOT_M:,.0f} ft" if is_imperial() else f"{metres:,.0f} m"


def temperature(celsius: float) -> str:
    """Whole degrees.

    Examples
    --------
    >>> temperature(-3.2)
    '−3 °C'
    """
    return f"{minus(degrees(celsius), 0)} {degree_unit()}"


def degrees(celsius: float) -> float:
    """A temperature on the scale that is spoken in."""
    return F_AT_ZERO + F_PER_C * celsius if is_imperial() else celsius


def per_degree(per_celsius: float) -> float:
    """What happens for each degree of the scale that is spoken in."""
    return per_celsius / F_PER_C if is_imperial() else per_celsius


def degree_unit() -> str:
    """The unit of temperatures."""
    return "°F" if is_imperial() else "°C"


def speed_unit() -> str:
    """The unit of speeds that are no pace."""
    return "mph" if is_imperial() else "km/h"


def in_speed_unit(speed_mps: float) -> float:
    """A speed in that unit, not rounded."""
    return speed_mps / mps_of_unit()


def mps_of_unit() -> float:
    """What one km/h, or one mile an hour, is. [m/s]"""
    return MPH_MPS if is_imperial() else KMH_MPS


def pace_unit() -> str:
    """What a pace is for."""
    return "per mile" if is_imperial() else "per km"


def heart_rate(bpm: float) -> str:
    """Whole beats.

    Examples
    --------
    >>> heart_rate(151.6)
    '152 bpm'
    """
    return f"{bpm:.0f} bpm"


def pace(speed_mps: float) -> str:
    """Minutes and seconds a kilometre, or a mile.

    Examples
    --------
    >>> pace(3.125)
    '5:20 per km'
    """
    return f"{bare_pace(speed_mps)} {pace_unit()}"


def bare_pace(speed_mps: float) -> str:
    """A pace without what it is for."""
    seconds = round((MILE_M if is_imperial() else 1000) / speed_mps)
    return f"{seconds // 60}:{seconds % 60:02d}"


def rowing_pace(speed_mps: float) -> str:
    """Minutes and seconds for 500 metres, as rowing has it everywhere.

    Examples
    --------
    >>> rowing_pace(4.0)
    '2:05 per 500 m'
    """
    seconds = round(500 / speed_mps)
    return f"{seconds // 60}:{seconds % 60:02d} per 500 m"


def speed(speed_mps: float, *, sport: str, is_indoor: bool) -> str:
    """Speed the way the sport says it: pace for running outdoors, pace of 500 m for rowing, else km/h or mph.

    Examples
    --------
    >>> speed(3.125, sport="running", is_indoor=False), speed(2.78, sport="running", is_indoor=True)
    ('5:20 per km', '10.0 km/h')
    """
    if sport == "rowing":
        return rowing_pace(speed_mps)
    if sport == "running" and not is_indoor:
        return pace(speed_mps)
    return f"{in_speed_unit(speed_mps):.1f} {speed_unit()}"


def setting(*, speed_mps: float | None, grade: float | None, power_w: float | None) -> str:
    """A machine's setting; a belt's hundredths are told where it was set to some.

    Examples
    --------
    >>> setting(speed_mps=10 / 3.6, grade=0.06, power_w=None), setting(speed_mps=None, grade=None, power_w=210)
    ('10.0 km/h at 6 %', '210 W')
    >>> setting(speed_mps=10.25 / 3.6, grade=0.015, power_w=None)
    '10.25 km/h at 1.5 %'
    """
    if power_w is not None:
        return f"{power_w:.0f} W"
    if speed_mps is None:
        return ""
    typed = in_speed_unit(speed_mps)
    is_set = abs(typed - round(typed, 2)) < 1e-6
    said = f"{typed:.2f}".removesuffix("0") if is_set else f"{typed:.1f}"
    return f"{said} {speed_unit()}" + (f" at {plain(100 * grade)} %" if grade is not None else "")


def output_scale(unit: str) -> tuple[float, str, int]:
    """What an output in W or m/s is multiplied by to be said, the unit it is said in, and its decimals.

    Examples
    --------
    >>> output_scale("W"), output_scale("m/s")
    ((1.0, 'W', 0), (3.6, 'km/h', 1))
    """
    return (1.0, "W", 0) if unit == "W" else (1 / mps_of_unit(), speed_unit(), 1)


def output(value: float, unit: str) -> str:
    """An output in W or m/s.

    Examples
    --------
    >>> output(203.4, "W"), output(2.7, "m/s")
    ('203 W', '9.7 km/h')
    """
    factor, said, decimals = output_scale(unit)
    return f"{factor * value:.{decimals}f} {said}"


def months(first: date, last: date, *, year: int) -> str:
    """The months from one day to another; the year where it is not the given one.

    Examples
    --------
    >>> months(date(2026, 9, 7), date(2026, 10, 4), year=2026), months(date(2025, 9, 1), date(2025, 9, 28), year=2026)
    ('September and October', 'September 2025')
    """
    n = (last.year - first.year) * 12 + last.month - first.month
    ends = [MONTHS[first.month - 1], MONTHS[last.month - 1]]
    said = ends[0] if n == 0 else " and ".join(ends) if n == 1 else " to ".join(ends)
    return said if last.year == year else f"{said} {last.year}"


def plain(value: float) -> str:
    """As many decimals as there are, at most two.

    Examples
    --------
    >>> plain(0.1 + 0.2), plain(15.0), plain(1.5)
    ('0.3', '15', '1.5')
    """
    return f"{round(value, 2):g}"


def drift(result: KnownDrift) -> str:
    """Drift with its interval as a number; a fall carries its minus.

    Examples
    --------
    >>> from types import SimpleNamespace
    >>> drift(SimpleNamespace(drift_pct=1.26, drift_low_pct=0.41, drift_high_pct=2.2))
    '1.3 % (0.4 to 2.2)'
    """
    return _percent_with_range(result.drift_pct, result.drift_low_pct, result.drift_high_pct)


def changed(size_pct: float, low_pct: float, high_pct: float, *, verbs: tuple[str, str, str] = PAST) -> str:
    """The same as a verb: rose or fell where the interval leaves no doubt which, else changed by the signed number.

    Examples
    --------
    >>> changed(1.3, 0.4, 2.2), changed(-1.0, -1.8, -0.3), changed(-0.4, -1.2, 0.4)
    ('rose 1.3 % (0.4 to 2.2)', 'fell 1.0 % (0.3 to 1.8)', 'changed by −0.4 % (−1.2 to 0.4)')
    """
    rose, fell, changed_by = verbs
    if low_pct > 0:
        return f"{rose} {_percent_with_range(size_pct, low_pct, high_pct)}"
    if high_pct < 0:
        return f"{fell} {_percent_with_range(-size_pct, -high_pct, -low_pct)}"
    return f"{changed_by} {_percent_with_range(size_pct, low_pct, high_pct)}"


def _percent_with_range(size: float, low: float, high: float) -> str:
    return f"{minus(size, 1)} % ({minus(low, 1)} to {minus(high, 1)})"


def minus(value: float, decimals: int) -> str:
    """A number with a true minus sign, and no minus before zero.

    Examples
    --------
    >>> minus(-0.04, 1), minus(-1.26, 1)
    ('0.0', '−1.3')
    """
    text = f"{value:.{decimals}f}"
    return (text if float(text) else f"{0:.{decimals}f}").replace("-", "−")


def percent(frac: float) -> str:
    """A share as whole per cent.

    Examples
    --------
    >>> percent(0.914)
    '91 %'
    """
    return f"{100 * frac:.0f} %"


def share(frac: float) -> str:
    """A share as a part of something: nearly all and hardly any are not called all and none.

    Examples
    --------
    >>> share(1.0), share(0.998), share(0.914), share(0.001), share(0.0)
    ('all', 'nearly all', '91 %', 'hardly any', 'none')
    """
    if frac in (0.0, 1.0):
        return "all" if frac else "none"
    return {0: "hardly any", 100: "nearly all"}.get(round(100 * frac), percent(frac))


def day(on: date) -> str:
    """A weekday with its date.

    Examples
    --------
    >>> day(date(2026, 11, 17))
    'Tuesday 17 November'
    """
    return f"{DAYS[on.weekday()]} {on.day} {MONTHS[on.month - 1]}"


def short_date(on: date) -> str:
    """A date for a table.

    Examples
    --------
    >>> short_date(date(2026, 11, 17))
    '17 Nov'
    """
    return f"{on.day} {MONTHS[on.month - 1][:3]}"


def full_date(on: date) -> str:
    """A date with its year.

    Examples
    --------
    >>> full_date(date(2026, 11, 17))
    '17 November 2026'
    """
    return f"{on.day} {MONTHS[on.month - 1]} {on.year}"


def week(start_on: date) -> str:
    """Seven days in words.

    Examples
    --------
    >>> week(date(2026, 11, 16)), week(date(2026, 9, 28))
    ('16 to 22 November 2026', '28 September to 4 October 2026')
    """
    stop = start_on + timedelta(days=6)
    first = str(start_on.day)
    if start_on.month != stop.month:
        first += f" {MONTHS[start_on.month - 1]}"
    if start_on.year != stop.year:
        first += f" {start_on.year}"
    return f"{first} to {full_date(stop)}"


def age_weeks(weeks: float) -> str:
    """An age in words.

    Examples
    --------
    >>> age_weeks(0.4), age_weeks(1.1), age_weeks(9.7)
    ('this week', '1 week old', '10 weeks old')
    """
    whole = round(weeks)
    return "this week" if whole == 0 else f"{whole} week{'s' if whole != 1 else ''} old"


def count(n: int, noun: str, plural: str = "") -> str:
    """A small count in words with its noun; ``plural`` where it is not the noun with an s.

    Examples
    --------
    >>> count(1, "session"), count(13, "session"), count(4, "entry", "entries")
    ('one session', '13 sessions', 'four entries')
    """
    words = [
        "no",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
    ]
    return f"{words[n] if n < len(words) else n} {noun if n == 1 else plural or f'{noun}s'}"


def threshold(found: Threshold) -> str:
    """A threshold with its interval and what goes with it.

    Examples
    --------
    >>> threshold(Threshold(which="first", on=date(2026, 10, 5), hr_bpm=158, hr_low_bpm=153, hr_high_bpm=164))
    '158 bpm (153 to 164)'
    """
    if found.bounded is not None:
        return f"{'at least' if found.bounded == 'above' else 'at most'} {heart_rate(found.hr_bpm)} (a bound, not a value)"
    text = heart_rate(found.hr_bpm)
    if found.hr_low_bpm is not None and found.hr_high_bpm is not None:
        text += f" ({found.hr_low_bpm:.0f} to {found.hr_high_bpm:.0f})"
    output = setting(speed_mps=found.speed_mps, grade=found.grade, power_w=found.power_w)
    return f"{text} at {output}" if output else text


def listed(words: list[str]) -> str:
    """Words as a list in a sentence.

    Examples
    --------
    >>> listed(["a", "b", "c"])
    'a, b and c'
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def minutes(seconds: float) -> str:
    """Whole minutes, also beyond an hour.

    Examples
    --------
    >>> minutes(2700), minutes(3600)
    ('45 min', '60 min')
    """
    return f"{seconds / 60:.0f} min"


def day_and_month(on: date) -> str:
    """A date without its year.

    Examples
    --------
    >>> day_and_month(date(2026, 11, 9))
    '9 November'
    """
    return f"{on.day} {MONTHS[on.month - 1]}"


def output_difference(size: float, low: float, high: float, *, unit: str) -> str:
    """A difference of output with its interval: watts, or metres a second as km/h or mph.

    Examples
    --------
    >>> output_difference(0.25, 0.1, 0.4, unit="m/s"), output_difference(12.2, -1.0, 25.4, unit="W")
    ('0.9 km/h (0.4 to 1.4)', '12 W (−1 to 25)')
    """
    factor, said, decimals = output_scale(unit)
    number, start, stop = (minus(factor * value, decimals) for value in (size, low, high))
    return f"{number} {said} ({start} to {stop})"


def elapsed(seconds: float) -> str:
    """Elapsed time as hours and minutes.

    Examples
    --------
    >>> elapsed(2700.0), elapsed(3900)
    ('0:45', '1:05')
    """
    return f"{int(seconds // 3600)}:{int(seconds // 60 % 60):02d}"


def lower(sentence: str) -> str:
    """A sentence to go on with after a colon: without its capital and full stop.

    Examples
    --------
    >>> lower("Heart rate rose.")
    'heart rate rose'
    """
    return f"{sentence[:1].lower()}{sentence[1:]}".removesuffix(".")


def event(event: str, on: date, change: str) -> str:
    """What happened since a threshold was accepted, as it follows "before".

    Examples
    --------
    >>> event("medicine", date(2026, 11, 18), "stopped")
    '18 Nov, when a medicine that changes heart rate was stopped'
    """
    day = short_date(on)
    return {
        "illness": f"the illness or injury of {day}",
        "pregnancy": f"the pregnancy noted from {day} on",
        "altitude": f"the days at altitude from {day} on",
        "medicine": f"{day}, when a medicine that changes heart rate was {change}",
    }[event]
