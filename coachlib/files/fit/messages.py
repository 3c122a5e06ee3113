"""The messages of one FIT file, gathered before anything is made of them.

Laps and sessions may come before or after the records, so everything is collected first.  Whatever was
read before damage is kept.
"""

import io
import math
from array import array
from dataclasses import dataclass, field

import fitdecode
import numpy as np

from coachlib.files.fit.container import FOOTER_BYTES, Segment
from coachlib.files.fit.values import instant, number, plain_text

#: Reading stops after this many messages: ten times a day-long recording with beats.
MOST_MESSAGES = 2_000_000

#: Column of ``Activity.samples`` -> the record's fields that may carry it, the best one first.  (Speed and
#: distance in compressed form are unpacked by the decoder under the plain names.)
SAMPLE_FIELDS: dict[str, tuple[str, ...]] = {
    "hr_bpm": ("heart_rate",),
    "speed_mps": ("enhanced_speed", "speed"),
    "power_w": ("power",),
    "cadence_rpm": ("cadence",),
    "altitude_m": ("enhanced_altitude", "altitude"),
    "distance_m": ("distance",),
    "temperature_c": ("temperature",),
}

#: The watch's own sensor on the wrist, which has no number of its own.
_WRIST = "whr"
#: What a sensor measures -> what messages call it, the best one first (open FIT protocol, device types: by name
#: where the file says how the sensor is connected, else the number that names it on the common radio).
SENSORS: dict[str, tuple[object, ...]] = {
    "heart rate": ("heart_rate", 120, _WRIST),
    "power": ("bike_power", 11, "fitness_equipment", 17, "bike_trainer"),
    "stride": ("stride_speed_distance", 124, "footpod"),
}
#: Where a message names the kind of a sensor.
_SENSOR_KINDS = (
    "antplus_device_type",
    "ble_device_type",
    "ant_device_type",
    "local_device_type",
    "device_type",
)

_STARTS = ("start",)
_STOPS = ("stop", "stop_all", "stop_disable", "stop_disable_all")
_LONGEST_BEAT_S = 65.535


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenStretch:
    """A lap or session as written: its start on the file's clock and its length; NaN where unknown."""

    start: float
    elapsed_s: float
    sport: str
    sub_sport: str


@dataclass(slots=True)
class Messages:
    """What one FIT file says.  Times are seconds on the file's clock, NaN where a message gives none."""

    segment: Segment
    kind: str | None = None
    time: array = field(default_factory=lambda: array("d"))
    samples: dict[str, array] = field(default_factory=lambda: {name: array("d") for name in SAMPLE_FIELDS})
    has_position: array = field(default_factory=lambda: array("b"))
    beat_s: array = field(default_factory=lambda: array("d"))
    beat_record: array = field(default_factory=lambda: array("q"))
    sessions: list[WrittenStretch] = field(default_factory=list)
    sport_setting: WrittenStretch | None = None
    laps: list[WrittenStretch] = field(default_factory=list)
    timer: list[tuple[float, bool]] = field(default_factory=list)
    serial: str = ""
    sensors: dict[object, str] = field(default_factory=dict)
    closed_at: float = math.nan
    closed_at_local: float = math.nan
    n_heart_rate_messages: int = 0
    n_not_numbers: int = 0
    developer_fields: set[tuple[int, int]] = field(default_factory=set)
    damaged_at_byte: int | None = None

    def sensor(self, measures: str) -> str:
        """Identity of the connected sensor, one of ``SENSORS``; "" where none has one."""
        return next((self.sensors[kind] for kind in SENSORS[measures] if kind in self.sensors), "")

    def column(self, name: str) -> np.ndarray:
        """A sample column as an array."""
        return np.array(self.samples[name], dtype=float)

    def times(self) -> np.ndarray:
        """The records' times as an array."""
        return np.array(self.time, dtype=float)


def gather(segment: Segment) -> Messages:
    """Read one FIT file to its end or to the first damage."""
    messages = Messages(segment)
    stream = io.BytesIO(segment.data)
    end_of_messages = len(segment.data) - FOOTER_BYTES
    good_bytes = 0
    try:
        # The decoder's own checksum and conversions cost more than the decoding; its errors on damaged
        # bytes are of every class, so no narrower net will do.
        reader = fitdecode.FitReader(
            stream,
            processor=None,
            check_crc=fitdecode.CrcCheck.DISABLED,
            error_handling=fitdecode.ErrorHandling.IGNORE,
        )
        for n_frames, frame in enumerate(reader):
            if n_frames > MOST_MESSAGES:
                raise OverflowError
            if frame.frame_type == fitdecode.FIT_FRAME_DATA:
                if stream.tell() > end_of_messages:
                    raise EOFError
                _take(messages, frame)
            elif frame.frame_type == fitdecode.FIT_FRAME_DEFINITION:
                messages.developer_fields.update((d.dev_data_index, d.def_num) for d in frame.dev_field_defs)
            good_bytes = stream.tell()
    except MemoryError:
        raise
    except Exception:
        slack = FOOTER_BYTES if segment.may_end_in_checksum else 0
        if good_bytes < end_of_messages - slack:
            messages.damaged_at_byte = segment.start + good_bytes
    return messages


def _take(messages: Messages, frame: fitdecode.FitDataMessage) -> None:
    """Keep what one message says, if it is of a kind that matters."""
    take = _TAKERS.get(frame.name)
    if take is not None:
        take(messages, _values(frame))


def _values(frame: fitdecode.FitDataMessage) -> dict[str, object]:
    """Values by field name; what was written goes before what the decoder derived from other fields."""
    values: dict[str, object] = {}
    for datum in frame.fields:
        named = datum.field
        if datum.value is None or named is None or named.field_type == "devfield":
            continue
        if datum.field_def is not None or named.name not in values:
            values[named.name] = datum.value
    return values


def _take_record(messages: Messages, values: dict[str, object]) -> None:
    messages.time.append(instant(values.get("timestamp")))
    for name, fields in SAMPLE_FIELDS.items():
        found = math.nan
        for written in fields:
            if written in values:
                found = number(values[written])
                if found == found:
                    break
                messages.n_not_numbers += 1
        messages.samples[name].append(found)
    fraction = number(values.get("fractional_cadence"))
    if 0.0 < fraction < 1.0:
        messages.samples["cadence_rpm"][-1] += fraction
    messages.has_position.append("position_lat" in values and "position_long" in values)


def _take_beats(messages: Messages, values: dict[str, object]) -> None:
    beats = values.get("time")
    for beat in beats if isinstance(beats, tuple) else (beats,):
        seconds = number(beat)
        if 0.0 < seconds < _LONGEST_BEAT_S:
            messages.beat_s.append(seconds)
            messages.beat_record.append(len(messages.time) - 1)
        elif beat is not None:
            messages.n_not_numbers += 1


def _take_event(messages: Messages, values: dict[str, object]) -> None:
    kind = values.get("event_type")
    if values.get("event") == "timer" and kind in (*_STARTS, *_STOPS):
        messages.timer.append((instant(values.get("timestamp")), kind in _STARTS))


def _stretch(values: dict[str, object]) -> WrittenStretch:
    sport, sub_sport = (values.get(name) for name in ("sport", "sub_sport"))
    return WrittenStretch(
        start=instant(values.get("start_time")),
        elapsed_s=number(values.get("total_elapsed_time")),
        sport=plain_text(sport) if isinstance(sport, str) else "",
        sub_sport=plain_text(sub_sport) if isinstance(sub_sport, str) else "",
    )


def _take_sport(messages: Messages, values: dict[str, object]) -> None:
    messages.sport_setting = _stretch(values)


def _take_session(messages: Messages, values: dict[str, object]) -> None:
    messages.sessions.append(_stretch(values))


def _take_lap(messages: Messages, values: dict[str, object]) -> None:
    messages.laps.append(_stretch(values))


def _take_activity(messages: Messages, values: dict[str, object]) -> None:
    messages.closed_at = instant(values.get("timestamp"))
    messages.closed_at_local = instant(values.get("local_timestamp"))


def _take_file_id(messages: Messages, values: dict[str, object]) -> None:
    kind = values.get("type")
    if messages.kind is None and isinstance(kind, str):  # a kind without a name is damage
        messages.kind = plain_text(kind)
    messages.serial = messages.serial or plain_text(values.get("serial_number"))


def _take_device(messages: Messages, values: dict[str, object]) -> None:
    serial = plain_text(values.get("serial_number"))
    if values.get("device_index") in ("creator", 0):
        messages.serial = messages.serial or serial
        return
    kind = next((values[name] for name in _SENSOR_KINDS if name in values), None)
    if isinstance(kind, (str, int)):
        found = "wrist" if kind == _WRIST else serial or plain_text(values.get("ant_device_number"))
        # some files learn the number late: the first message that has one tells it
        messages.sensors[kind] = messages.sensors.get(kind, "") or found


def _take_heart_rate(messages: Messages, values: dict[str, object]) -> None:
    messages.n_heart_rate_messages += 1


_TAKERS = {
    "record": _take_record,
    "hrv": _take_beats,
    "event": _take_event,
    "session": _take_session,
    "lap": _take_lap,
    "sport": _take_sport,
    "activity": _take_activity,
    "file_id": _take_file_id,
    "device_info": _take_device,
    "hr": _take_heart_rate,
}
