"""One recording as FIT bytes: the same recording gives the same bytes."""

from collections.abc import Iterator
from copy import copy
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import cache

import numpy as np
from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.activity_message import ActivityMessage
from fit_tool.profile.messages.device_info_message import DeviceInfoMessage
from fit_tool.profile.messages.event_message import EventMessage
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.hrv_message import HrvMessage
from fit_tool.profile.messages.lap_message import LapMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.messages.session_message import SessionMessage
from fit_tool.profile.profile_type import (
    Activity,
    Event,
    EventType,
    FileType,
    Manufacturer,
    Sport,
    SubSport,
)

#: Seconds from the epoch of computers to that of FIT files.
FIT_EPOCH_S = 631065600
#: Local message numbers: a kind or a set of fields each, so that no definition is repeated.
FILE_ID, DEVICE, EVENT, LAP, SESSION, ACTIVITY, BEATS = 0, 1, 2, 3, 4, 5, 6
RECORDS = 7
BEATS_A_MESSAGE = 5
#: Open ocean, so that the track lies in nobody's country. [degrees]
OCEAN = (0.0, -30.0)
M_PER_DEGREE = 111_320.0
#: A position is written this often: enough to tell outdoors from indoors. [s]
POSITION_EVERY_S = 60


@dataclass(frozen=True, kw_only=True, eq=False)
class Recording:
    """What a watch kept of a session.  Series have one value a record; NaN is left out.

    ``laps_s`` are the lap borders, first and last included; ``pauses_s`` pairs of stop and start.
    """

    started_at: datetime
    utc_offset_h: int
    sport: str
    sub_sport: str
    serial: int
    time_s: np.ndarray
    series: dict[str, np.ndarray]
    laps_s: tuple[float, ...]
    pauses_s: tuple[tuple[float, float], ...] = ()
    rr_s: np.ndarray = field(default_factory=lambda: np.zeros(0))
    is_outdoors: bool = False


def fit_bytes(recording: Recording) -> bytes:
    """Write a recording."""
    builder = FitFileBuilder()
    for message in _messages(recording):
        builder.add(message)
    return builder.build_bytes()


def _messages(recording: Recording) -> Iterator[object]:
    start_ms = _ms(recording.started_at)
    stop_s = float(recording.time_s[-1])
    stop_ms = start_ms + round(stop_s * 1000)
    yield _filled(
        FileIdMessage(local_id=FILE_ID),
        type=FileType.ACTIVITY,
        manufacturer=Manufacturer.DEVELOPMENT.value,
        serial_number=recording.serial,
        time_created=start_ms,
    )
    yield _filled(
        DeviceInfoMessage(local_id=DEVICE), timestamp=start_ms, device_index=0, serial_number=recording.serial
    )
    yield _timer(start_ms, EventType.START)
    yield from _records(recording, start_ms)
    yield _timer(stop_ms, EventType.STOP_ALL)
    for begin, end in zip(recording.laps_s, recording.laps_s[1:], strict=False):
        yield _filled(LapMessage(local_id=LAP), **_stretch(recording, start_ms, begin, end))
    kind = {
        "sport": Sport[recording.sport.upper()],
        "sub_sport": SubSport[recording.sub_sport.upper()],
    }
    yield _filled(SessionMessage(local_id=SESSION), **_stretch(recording, start_ms, 0.0, stop_s), **kind)
    local = recording.started_at + timedelta(seconds=stop_s, hours=recording.utc_offset_h)
    yield _filled(
        ActivityMessage(local_id=ACTIVITY),
        timestamp=stop_ms,
        local_timestamp=round(local.timestamp()) - FIT_EPOCH_S,
        num_sessions=1,
        type=Activity.MANUAL,
    )


def _records(recording: Recording, start_ms: int) -> Iterator[object]:
    """Records with their beats, and the timer's stops and starts between them."""
    stops = list(recording.pauses_s)
    ended = np.cumsum(recording.rr_s)
    n_beats = 0
    last_position = -POSITION_EVERY_S
    for row, at in enumerate(recording.time_s):
        while stops and at >= stops[0][1]:
            stop, start = stops.pop(0)
            yield _timer(start_ms + round(stop * 1000), EventType.STOP_ALL)
            yield _timer(start_ms + round(start * 1000), EventType.START)
        fields = {name: float(values[row]) for name, values in recording.series.items()}
        if recording.is_outdoors and at - last_position >= POSITION_EVERY_S:
            last_position = at
            fields |= _position(fields["distance"])
        yield _record(start_ms + round(float(at) * 1000), fields)
        until = int(np.searchsorted(ended, at, side="right"))
        while n_beats < until:
            some = recording.rr_s[n_beats : min(until, n_beats + BEATS_A_MESSAGE)]
            n_beats += some.size
            padded = [*some.tolist(), *[65.535] * (BEATS_A_MESSAGE - some.size)]
            yield _filled(HrvMessage(local_id=BEATS), time=padded)


def _record(timestamp: int, fields: dict[str, float]) -> RecordMessage:
    """One record; which local number it gets depends on what it carries."""
    known = {name: value for name, value in fields.items() if value == value}
    local = RECORDS + 2 * ("position_lat" in known) + ("heart_rate" not in known)
    message = _copied(_pattern(local, tuple(known)))
    message.timestamp = timestamp
    for name, value in known.items():
        setattr(message, name, round(value) if name in _WHOLE else value)
    return message


@cache
def _pattern(local: int, names: tuple[str, ...]) -> RecordMessage:
    """A record with the needed fields only: making all 85 anew takes most of the writer's time."""
    message = _filled(RecordMessage(local_id=local), timestamp=FIT_EPOCH_S * 1000, **dict.fromkeys(names, 0))
    message.fields = [one for one in message.fields if one.is_valid()]
    return message


def _copied(pattern: RecordMessage) -> RecordMessage:
    """A record of its own with the pattern's fields."""
    message = copy(pattern)
    message.fields = [copy(one) for one in pattern.fields]
    for one in message.fields:
        one.encoded_values = list(one.encoded_values)
    return message


_WHOLE = frozenset({"heart_rate", "cadence", "power"})


def _position(distance_m: float) -> dict[str, float]:
    """Out along a line and back, five kilometres each way."""
    along = abs((distance_m + 5000.0) % 10000.0 - 5000.0)
    return {
        "position_lat": OCEAN[0] + along * 0.6 / M_PER_DEGREE,
        "position_long": OCEAN[1] + along * 0.8 / M_PER_DEGREE,
    }


def _stretch(recording: Recording, start_ms: int, begin: float, end: float) -> dict[str, object]:
    """The fields laps and sessions share."""
    paused = sum(max(0.0, min(end, b) - max(begin, a)) for a, b in recording.pauses_s)
    return {
        "timestamp": start_ms + round(end * 1000),
        "start_time": start_ms + round(begin * 1000),
        "total_elapsed_time": end - begin,
        "total_timer_time": end - begin - paused,
    }


def _timer(timestamp: int, kind: EventType) -> EventMessage:
    return _filled(EventMessage(local_id=EVENT), timestamp=timestamp, event=Event.TIMER, event_type=kind)


def _filled(message, **values):
    """A message with its fields set."""
    for name, value in values.items():
        setattr(message, name, value)
    return message


def _ms(moment: datetime) -> int:
    return round(moment.timestamp() * 1000)
