"""The messages of one FIT file, gathered before anything is made of them.

Laps and sessions may come before or after the records, so everything is collected first.  Whatever was
read before damage is kept.
"""

import math
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np

from coachlib.errors import FileProblem
from coachlib.files.fit.bulk import Odd, compressed_clock, read_beats, read_records
from coachlib.files.fit.clocks import trusted
from coachlib.files.fit.container import FOOTER_BYTES, Segment
from coachlib.files.fit.layout import walk
from coachlib.files.fit.singles import decoded, read_singles
from coachlib.files.fit.values import instant, number, plain_text
from coachlib.records.activity import Totals

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

#: Field of ``Totals`` -> the session's field.
_TOTALS = {
    "elapsed_s": "total_elapsed_time",
    "timer_s": "total_timer_time",
    "distance_m": "total_distance",
    "ascent_m": "total_ascent",
    "hr_mean_bpm": "avg_heart_rate",
    "hr_max_bpm": "max_heart_rate",
}
_STARTS = ("start",)
_STOPS = ("stop", "stop_all", "stop_disable", "stop_disable_all")
#: No beat, and a beat longer than can be written.  [thousandths of a second]
NO_BEAT = 0xFFFF
LONGEST_BEAT = 65535


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenStretch:
    """A lap or session as written: its start on the file's clock and its length, NaN where unknown; a session's totals."""

    start: float
    elapsed_s: float
    sport: str
    sub_sport: str
    totals: Totals = field(default_factory=Totals)


@dataclass(slots=True)
class Messages:
    """What one FIT file says.  Times are seconds on the file's clock, NaN where a message gives none.

    ``beat_record`` is the number of the record that each beat stands behind, -1 before the first.
    """

    segment: Segment
    kind: str | None = None
    time: np.ndarray = field(default_factory=lambda: np.zeros(0))
    is_trusted: np.ndarray = field(default_factory=lambda: np.zeros(0, dtype=bool))
    samples: dict[str, np.ndarray] = field(default_factory=dict)
    has_position: np.ndarray = field(default_factory=lambda: np.zeros(0, dtype=bool))
    beat_s: np.ndarray = field(default_factory=lambda: np.zeros(0))
    beat_record: np.ndarray = field(default_factory=lambda: np.zeros(0, dtype=np.int64))
    sessions: list[WrittenStretch] = field(default_factory=list)
    sport_setting: WrittenStretch | None = None
    laps: list[WrittenStretch] = field(default_factory=list)
    timer: list[tuple[float, bool]] = field(default_factory=list)
    serial: str = ""
    sensors: dict[object, str] = field(default_factory=dict)
    created_at: float = math.nan
    closed_at: float = math.nan
    closed_at_local: float = math.nan
    n_heart_rate_messages: int = 0
    n_not_numbers: int = 0
    developer_fields: set[tuple[int, int]] = field(default_factory=set)
    damaged_at_byte: int | None = None

    def sensor(self, measures: str) -> str:
        """Identity of the connected sensor, one of ``SENSORS``; "" where none has one."""
        return next((self.sensors[kind] for kind in SENSORS[measures] if kind in self.sensors), "")


def gather(segment: Segment) -> Messages:
    """Read one FIT file to its end or to the first damage.

    Raises
    ------
    FileProblem
        When it holds more messages or values than can be read in reasonable time.
    """
    try:
        return gather_at_once(segment)
    except Odd:
        return gather_singly(segment)


def gather_at_once(segment: Segment) -> Messages:
    """Records and beats as arrays, the rest by the decoder; refuses what only the decoder reads (``Odd``)."""
    messages = Messages(segment)
    data, start, stop = segment.data, segment.body_start, len(segment.data) - FOOTER_BYTES
    layout = walk(data, start, stop)
    clock = compressed_clock(data, layout.definitions)
    damaged_at = read_singles(
        data, layout.definitions, clock, lambda frame, time: _take(messages, frame, time)
    )
    if damaged_at is None:
        damaged_at = layout.damaged_at
    else:
        layout.cut(damaged_at)
    records = read_records(data, layout.definitions, clock)
    messages.time, messages.samples = records.time, records.samples
    messages.has_position = records.has_position
    beats, where = read_beats(data, layout.definitions)
    behind = np.searchsorted(records.at, where) - 1
    is_beat = (beats > 0) & (beats < LONGEST_BEAT)
    messages.beat_s, messages.beat_record = beats[is_beat] / 1000.0, behind[is_beat]
    messages.n_not_numbers += int(np.count_nonzero((beats != NO_BEAT) & ~is_beat))
    messages.n_heart_rate_messages = sum(len(d.at) for d in layout.definitions if d.kind == _HEART_RATE)
    messages.developer_fields = {
        (index, number) for d in layout.definitions if d.defined_at for index, number, _ in d.developer_fields
    }
    _finish(messages, damaged_at)
    return messages


def gather_singly(segment: Segment) -> Messages:
    """The same, every message by the decoder: slow, and what reading at once is held against."""
    messages = Messages(segment)
    rows = _Rows()
    good_until = 0
    damaged_at = None
    try:
        for frame, end in decoded(segment.data[segment.body_start : -FOOTER_BYTES]):
            if hasattr(frame, "dev_field_defs"):
                messages.developer_fields.update((d.dev_data_index, d.def_num) for d in frame.dev_field_defs)
            elif frame.name == "record":
                rows.take_record(messages, _values(frame))
            elif frame.name == "hrv":
                rows.take_beats(messages, _values(frame))
            elif frame.name == "hr":
                messages.n_heart_rate_messages += 1
            else:
                _take(messages, frame)
            good_until = end
    except (MemoryError, FileProblem):
        raise
    except Exception:  # the decoder's errors on damaged bytes are of every class
        damaged_at = segment.body_start + good_until
    rows.give(messages)
    _finish(messages, damaged_at)
    return messages


def _finish(messages: Messages, damaged_at: int | None) -> None:
    """Keep which records' times can be believed, and where reading stopped, unless only the checksum was left."""
    spoken_of = [at for at, _ in messages.timer] + [s.start for s in (*messages.sessions, *messages.laps)]
    spoken_of += [messages.created_at, messages.closed_at]
    messages.is_trusted = trusted(messages.time, stated=spoken_of)
    segment = messages.segment
    slack = FOOTER_BYTES if segment.may_end_in_checksum else 0
    if damaged_at is not None and damaged_at < len(segment.data) - FOOTER_BYTES - slack:
        messages.damaged_at_byte = segment.start + damaged_at


def _take(messages: Messages, frame: Any, time: float | None = None) -> None:
    """Keep what one message says, if it is of a kind that matters; ``time`` is what its head said."""
    take = _TAKERS.get(frame.name)
    if take is not None:
        values = _values(frame)
        if time is not None:
            values["timestamp"] = time
        take(messages, values)


def _values(frame: Any) -> dict[str, object]:
    """Values by field name; what was written goes before what the decoder derived from other fields."""
    values: dict[str, object] = {}
    for datum in frame.fields:
        named = datum.field
        if datum.value is None or named is None or named.field_type == "devfield":
            continue
        if datum.field_def is not None or named.name not in values:
            values[named.name] = datum.value
    return values


class _Rows:
    """Records and beats while they come one by one."""

    def __init__(self) -> None:
        self.time: list[float] = []
        self.samples: dict[str, list[float]] = {name: [] for name in SAMPLE_FIELDS}
        self.has_position: list[bool] = []
        self.beat_s: list[float] = []
        self.beat_record: list[int] = []

    def take_record(self, messages: Messages, values: dict[str, object]) -> None:
        """Keep one record."""
        self.time.append(instant(values.get("timestamp")))
        for name, fields in SAMPLE_FIELDS.items():
            found = math.nan
            for written in fields:
                if written in values:
                    found = number(values[written])
                    if found == found:
                        break
                    messages.n_not_numbers += 1
            self.samples[name].append(found)
        fraction = number(values.get("fractional_cadence"))
        if 0.0 < fraction < 1.0:
            self.samples["cadence_rpm"][-1] += fraction
        self.has_position.append("position_lat" in values and "position_long" in values)

    def take_beats(self, messages: Messages, values: dict[str, object]) -> None:
        """Keep the beats of one message."""
        beats = values.get("time")
        for beat in beats if isinstance(beats, tuple) else (beats,):
            seconds = number(beat)
            if 0.0 < seconds < LONGEST_BEAT / 1000.0:
                self.beat_s.append(seconds)
                self.beat_record.append(len(self.time) - 1)
            elif beat is not None:
                messages.n_not_numbers += 1

    def give(self, messages: Messages) -> None:
        """Hand over what came."""
        messages.time = np.array(self.time, dtype=float)
        messages.samples = {name: np.array(values, dtype=float) for name, values in self.samples.items()}
        messages.has_position = np.array(self.has_position, dtype=bool)
        messages.beat_s = np.array(self.beat_s, dtype=float)
        messages.beat_record = np.array(self.beat_record, dtype=np.int64)


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


def _known(value: object) -> float | None:
    """A number that is above 0, which many programs write for what they do not know."""
    found = number(value)
    return found if found > 0 else None


def _take_sport(messages: Messages, values: dict[str, object]) -> None:
    messages.sport_setting = _stretch(values)


def _take_session(messages: Messages, values: dict[str, object]) -> None:
    totals = Totals(**{name: _known(values.get(written)) for name, written in _TOTALS.items()})
    messages.sessions.append(replace(_stretch(values), totals=totals))


def _take_lap(messages: Messages, values: dict[str, object]) -> None:
    messages.laps.append(_stretch(values))


def _take_activity(messages: Messages, values: dict[str, object]) -> None:
    messages.closed_at = instant(values.get("timestamp"))
    messages.closed_at_local = instant(values.get("local_timestamp"))


def _take_file_id(messages: Messages, values: dict[str, object]) -> None:
    kind = values.get("type")
    messages.created_at = instant(values.get("time_created"))
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


_TAKERS = {
    "event": _take_event,
    "session": _take_session,
    "lap": _take_lap,
    "sport": _take_sport,
    "activity": _take_activity,
    "file_id": _take_file_id,
    "device_info": _take_device,
}
_HEART_RATE = 132
