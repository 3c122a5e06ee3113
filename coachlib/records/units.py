"""Miles, feet and degrees Fahrenheit, exact by definition, and values that a person types with or without their unit.

Inside there is one unit a quantity; pages say it in the athlete's through ``report.words.wording``.

Source
------
International yard and pound agreement of 1959: 1 foot is 0.3048 m, 1 mile 5280 feet.  Degrees Fahrenheit are 32 plus
9/5 of the degrees Celsius.
"""

import re
from collections.abc import Mapping
from typing import Literal

from coachlib.errors import BadArgument

Units = Literal["metric", "imperial"]
Quantity = Literal["speed", "distance", "temperature"]

FOOT_M = 0.3048
MILE_M = 5280 * FOOT_M
KMH_MPS = 1 / 3.6
MPH_MPS = MILE_M / 3600
#: Degrees Fahrenheit in one degree Celsius, and what 0 degrees Celsius is in them.
F_PER_C, F_AT_ZERO = 1.8, 32.0

#: What may be typed behind a number -> what one is in this package's unit; pace is seconds for so many metres.
_SPEEDS = {"km/h": KMH_MPS, "kmh": KMH_MPS, "kph": KMH_MPS, "mph": MPH_MPS, "mi/h": MPH_MPS, "m/s": 1.0}
_PACES = {"km": 1000.0, "mi": MILE_M, "mile": MILE_M}
_DISTANCES = {
    "m": 1.0,
    "km": 1000.0,
    "mi": MILE_M,
    "mile": MILE_M,
    "miles": MILE_M,
    "ft": FOOT_M,
    "feet": FOOT_M,
}
_TEMPERATURES = {"c": "c", "degc": "c", "celsius": "c", "f": "f", "degf": "f", "fahrenheit": "f"}
#: What a bare number is taken for.  Own choice: a track is measured in metres everywhere.
_BARE: Mapping[Units, Mapping[Quantity, str]] = {
    "metric": {"speed": "km/h", "distance": "m", "temperature": "c"},
    "imperial": {"speed": "mph", "distance": "m", "temperature": "f"},
}
_ALLOWED = {
    "speed": 'a speed such as "10 km/h", "6.2 mph" or "8:30 per mile"',
    "distance": 'a distance such as "1200", "5 km", "3 mi" or "300 ft"',
    "temperature": 'a temperature such as "21 C" or "70 F"',
}
_TYPED = re.compile(r"([+\-\u2212]?\d+(?:[.,]\d+)?)\s*(.*)")
_PACE = re.compile(r"(\d{1,2}):([0-5]\d)\s*(?:min)?\s*(?:/|per )\s*(\w+)")


def typed_value(text: str, quantity: Quantity, *, units: Units = "metric") -> float:
    """A typed value in this package's unit: metres a second, metres, degrees Celsius.

    Parameters
    ----------
    text : str
        A number, with a point or a comma, and its unit where it is not the usual one; pace as minutes and seconds.
    quantity : "speed", "distance" or "temperature"
        What it is.
    units : "metric" or "imperial"
        What a bare number is in: km/h, metres and degrees Celsius, or mph, metres and degrees Fahrenheit.

    Raises
    ------
    BadArgument
        When that is no such value.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> typed_value("10", "speed") * 3.6, typed_value("6,2", "speed", units="imperial"), typed_value("70 F", "temperature")
    (10.0, 2.7716, 21.1111)
    >>> typed_value("8:30 per mile", "speed"), typed_value("300 ft", "distance")
    (3.1556, 91.44)
    """
    said = " ".join(text.lower().replace("\u00b0", "").split())
    if quantity == "speed" and (pace := _PACE.fullmatch(said)) and pace[3] in _PACES:
        seconds = 60 * int(pace[1]) + int(pace[2])
        if seconds:
            return _PACES[pace[3]] / seconds
    found = _TYPED.fullmatch(said)
    if found is None:
        raise _refused(text, quantity)
    number = float(found[1].replace(",", ".").replace("\u2212", "-"))
    unit = found[2] or _BARE[units][quantity]
    if quantity == "temperature" and unit in _TEMPERATURES:
        return number if _TEMPERATURES[unit] == "c" else (number - F_AT_ZERO) / F_PER_C
    factors = {"speed": _SPEEDS, "distance": _DISTANCES}.get(quantity, {})
    if unit not in factors:
        raise _refused(text, quantity)
    return number * factors[unit]


def _refused(text: str, quantity: Quantity) -> BadArgument:
    return BadArgument(f'"{text.strip()}" was typed; needed is {_ALLOWED[quantity]}')
