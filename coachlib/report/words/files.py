"""What a recording's file is to be told about: salvaged, skipped, odd in its values or its dates."""

from collections.abc import Callable
from datetime import date

from coachlib.quantities import SAMPLE_QUANTITIES
from coachlib.report.words.sports import sport_in_words
from coachlib.report.words.wording import distance, duration, full_date, height, speed

#: What the columns of a recording are called.
COLUMNS = {
    "hr_bpm": "heart rate",
    "speed_mps": "speed",
    "power_w": "power",
    "cadence_rpm": "cadence",
    "altitude_m": "altitude",
    "distance_m": "distance",
    "temperature_c": "temperature",
}
#: As many parts of a file as a person can take in.
_MOST_LISTED = 10


def _count(n: int, noun: str) -> str:
    return f"{n:,} {noun if n == 1 else noun + 's'}"


def _outside(quantity: str, n_records: int) -> str:
    limits = SAMPLE_QUANTITIES[quantity]
    return (
        f"{COLUMNS[quantity]} lies outside {limits.lowest:g} to {limits.highest:g} {limits.unit} "
        f"in {_count(n_records, 'record')}, taken as missing"
    )


def _damaged(n_records: int, at_byte: int, n_bytes: int, last_good_utc: str) -> str:
    last = f"; the last good time is {last_good_utc} UTC" if last_good_utc else ""
    return (
        f"the file is damaged at byte {at_byte:,} of {n_bytes:,}; records read before it: {n_records:,}{last}"
    )


def _sessions(sports: tuple[str, ...], part: int) -> str:
    named = [f"{number} {sport_in_words(sport)}" for number, sport in enumerate(sports[:_MOST_LISTED], 1)]
    more = len(sports) - len(named)
    return (
        f"the file holds {len(sports)} sessions: {', '.join(named)}{f' and {more} more' if more else ''}; "
        f"this is number {part + 1}"
    )


def totals(
    device_s: float | None, recorded_s: float, device_m: float | None, recorded_m: float | None
) -> str:
    """What the device counted beside what its file holds."""
    device = [duration(device_s)] if device_s is not None else []
    recorded = [duration(recorded_s)] if device_s is not None else []
    if device_m is not None and recorded_m is not None:
        device.append(distance(device_m))
        recorded.append(distance(recorded_m))
    return (
        f"the device summed up {' and '.join(device)}, but the file's records hold {' and '.join(recorded)}"
    )


def _power_on(is_dated: bool) -> str:
    source = "its date is the local one at which the file was closed" if is_dated else "it knows no date"
    return f"the file counts seconds since the device was switched on; {source}, so check the date"


def _future(on: date, today: date) -> str:
    return f"it is dated {full_date(on)}, which lies after {full_date(today)}; it counts for no week"


def _decades_off(on: date) -> str:
    return f"it is dated {full_date(on)}, decades back; it counts for no week"


def _impossible_climb(climbed_m: float, distance_m: float | None) -> str:
    within = f" within {distance(distance_m)}" if distance_m is not None else ""
    return (
        f"altitude climbs {height(climbed_m)}{within}, steeper and faster than anybody; altitude and climb are left "
        "out until you say otherwise"
    )


SENTENCES: dict[str, Callable[..., str]] = {
    "header mended": lambda found_bytes: (
        f"the file's header gives its own size as {found_bytes} bytes, which cannot be; it was mended"
    ),
    "file cut": lambda announced_bytes, found_bytes: (
        f"the file's header announces {announced_bytes:,} bytes of messages, but {found_bytes:,} follow; "
        "the recording was probably cut off"
    ),
    "checksum missing": lambda: "the file ends without its checksum; the recording was probably cut off",
    "checksum wrong": lambda: "the file's checksum does not fit its contents; single values may be damaged",
    "file goes on": lambda n_bytes: (
        f"the file goes on for {n_bytes:,} bytes after the end it announces; they were read too"
    ),
    "bytes left unread": lambda n_bytes: f"{n_bytes:,} bytes after the end of the recording were left unread",
    "file damaged": _damaged,
    "records without time": lambda n_records: (
        f"records without a time, or with one that cannot be, were left out: {n_records:,}"
    ),
    "values no numbers": lambda n_values: (
        f"values that are not numbers, or no beat intervals, are taken as missing: {n_values:,}"
    ),
    "heart rate apart": lambda: (
        "the file brings its heart rate in separate messages, as some chest straps do after a swim; these "
        "are not read"
    ),
    "several sessions": _sessions,
    "session not summed up": lambda: (
        "the file holds no summary of this session; it was made from the records"
    ),
    "totals differ": totals,
    "laps without start": lambda n_laps: f"laps without a usable start were left out: {n_laps:,}",
    "counted from power-on": _power_on,
    "local time odd": lambda: (
        "the file's local time does not fit its UTC time; the athlete's time zone is needed"
    ),
    "heart rate zero": lambda n_records, of_records: (
        f"heart rate is written as 0 in {n_records:,} of {of_records:,} records, taken as missing"
    ),
    "values outside range": _outside,
    "records out of order": lambda n_places: (
        f"records were out of order in time at {_count(n_places, 'place')}; they were sorted"
    ),
    "timer not believed": lambda: (
        "every record lies inside a pause of the timer; the timer's events were not believed"
    ),
    "records inside pauses": lambda n_records: (
        f"records inside pauses of the timer were left out: {n_records:,}"
    ),
    "records merged": lambda n_records: (
        f"records with the time of another one were merged with it: {n_records:,}"
    ),
    "utc taken": lambda: (
        "neither the recording nor the roster knows the time zone, so days and hours are in UTC"
    ),
    "dated in the future": _future,
    "clock not set": _decades_off,
    "heart rate stuck": lambda hr_bpm, minutes: (
        f"heart rate stands at exactly {hr_bpm:.0f} bpm for {minutes:.0f} min of motion; it is left out there "
        "until you say otherwise"
    ),
    "heart rate sweeps": lambda low_bpm, high_bpm, n_sweeps: (
        f"heart rate runs between {low_bpm:.0f} and {high_bpm:.0f} bpm {n_sweeps} times, which no heart does; it "
        "is left out there until you say otherwise"
    ),
    "altitude impossible": _impossible_climb,
    "speed stuck": lambda speed_mps, minutes: (
        f"speed stands at exactly {speed(speed_mps, sport='', is_indoor=True)} for {minutes:.0f} min, which the rest of the recording "
        "does not bear out; it is left out there until you say otherwise"
    ),
}
#: How a recording whose device counted something else is settled.
EXPORT_AGAIN = "the file is probably damaged or cut: export it again"
_SET_THE_CLOCK = "set the device's clock, and export the recording again if its date can be told"
WAYS_OUT: dict[str, Callable[..., str]] = {
    "totals differ": lambda **_: EXPORT_AGAIN,
    "dated in the future": lambda **_: _SET_THE_CLOCK,
    "clock not set": lambda **_: _SET_THE_CLOCK,
    "utc taken": lambda: (
        'write `time_zone`, such as "Europe/Vienna", into roster.toml or the athlete\'s file'
    ),
}
