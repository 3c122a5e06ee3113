"""The one table of quantities: name suffix, unit, plausible range in a recording.

A name's last part says its unit everywhere in this package; bounds keep the unit last
(``hr_low_bpm``).  ``used``, ``inside`` and ``is_...`` are boolean, True counts.  ``..._at`` is an aware
UTC instant, ``..._on`` a local calendar date, ``n_...`` a count.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """One column of a recording: its name, unit in words, and the range a sensor can mean."""

    name: str
    unit: str
    lowest: float
    highest: float


#: Columns of ``Activity.samples`` and what a sensor can plausibly say; values outside count as missing.
SAMPLE_QUANTITIES: dict[str, Quantity] = {
    q.name: q
    for q in (
        Quantity(name="time_s", unit="seconds since the first record", lowest=0.0, highest=1e7),
        Quantity(name="hr_bpm", unit="heart beats per minute", lowest=1.0, highest=254.0),
        Quantity(name="speed_mps", unit="metres per second", lowest=0.0, highest=65.0),
        Quantity(name="power_w", unit="watts", lowest=0.0, highest=4000.0),
        Quantity(
            name="cadence_rpm",
            unit="turns (running: steps of both feet) per minute",
            lowest=0.0,
            highest=511.0,
        ),
        Quantity(name="altitude_m", unit="metres above sea level", lowest=-500.0, highest=9000.0),
        Quantity(name="distance_m", unit="metres since the first record", lowest=0.0, highest=1e7),
        Quantity(name="temperature_c", unit="degrees Celsius at the device", lowest=-60.0, highest=80.0),
    )
}

#: Name suffix -> unit, for docstrings, table heads and the test that holds names to it.
SUFFIXES: dict[str, str] = {
    "_s": "seconds; elapsed time starts at the first record",
    "_m": "metres",
    "_mps": "metres per second",
    "_bpm": "heart beats per minute",
    "_w": "watts",
    "_rpm": "turns or steps per minute",
    "_c": "degrees Celsius",
    "_pct": "per cent, 0 to 100",
    "_frac": "fraction, 0 to 1",
    "_at": "aware UTC instant",
    "_on": "local calendar date",
}
