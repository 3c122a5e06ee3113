"""Whatever the bytes: an activity that keeps its promises, or a sentence.  Nothing else comes out."""

import functools

import numpy as np
from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.event_message import EventMessage
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.messages.session_message import SessionMessage
from fit_tool.profile.profile_type import Event, EventType, FileType, Sport, SubSport
from fitbytes import CYCLING, START, steady_run
from hypothesis import given, settings
from hypothesis import strategies as st
from said import said

from coachlib.errors import CoachError
from coachlib.files.fit.reading import FIT_EPOCH, read_fit_bytes

COLUMNS = [
    "time_s",
    "hr_bpm",
    "speed_mps",
    "power_w",
    "cadence_rpm",
    "altitude_m",
    "distance_m",
    "temperature_c",
]


@functools.cache
def own_file():
    """Every kind of message the reader takes, by this project's own writer."""
    fit = steady_run(40)
    for s in range(40, 60):
        extra = [(6, "uint16", 2500), (7, "uint16", 200), (5, "uint32", s * 250), (2, "uint16", 2600)]
        extra += [
            (4, "uint8", 80),
            (53, "uint8", 64),
            (0, "sint32", 5),
            (1, "sint32", 7),
            (8, "byte", (1, 2, 3)),
        ]
        fit.record(START + s, 120, *extra).beats(0.4, 0.5, None)
    fit.timer(START + 45, 4).timer(START + 50, 0).session(START + 40, 20, CYCLING)
    return fit.bytes()


@functools.cache
def other_writers_file():
    """A treadmill run by an independent writer."""
    started_ms = round(FIT_EPOCH.timestamp() + START) * 1000
    builder = FitFileBuilder(auto_define=True)
    file_id = FileIdMessage(local_id=0)
    file_id.type, file_id.manufacturer, file_id.serial_number = FileType.ACTIVITY, 255, 77
    file_id.time_created = started_ms
    builder.add(file_id)
    event = EventMessage(local_id=1)
    event.event, event.event_type, event.timestamp = Event.TIMER, EventType.START, started_ms
    builder.add(event)
    for s in range(60):
        record = RecordMessage(local_id=2)
        record.timestamp, record.heart_rate = started_ms + 1000 * s, 120 + s
        record.enhanced_speed, record.cadence, record.distance = 2.8, 84, 2.8 * s
        builder.add(record)
    session = SessionMessage(local_id=3)
    session.timestamp, session.start_time = started_ms + 60_000, started_ms
    session.total_elapsed_time, session.sport, session.sub_sport = 60.0, Sport.RUNNING, SubSport.TREADMILL
    builder.add(session)
    return builder.build().to_bytes()


def test_a_file_by_another_writer():
    activity = read_fit_bytes(other_writers_file())
    assert said(activity) == ()
    assert (activity.sport, activity.sub_sport, activity.device) == ("running", "treadmill", "77")
    assert activity.samples["hr_bpm"].tolist() == [120.0 + s for s in range(60)]
    assert activity.samples["cadence_rpm"].tolist() == [168.0] * 60
    np.testing.assert_allclose(activity.samples["speed_mps"], 2.8)
    np.testing.assert_allclose(activity.samples["distance_m"], [round(2.8 * s, 2) for s in range(60)])


edits = st.lists(
    st.tuples(
        st.sampled_from(["set", "flip", "delete", "insert", "cut", "copy"]),
        st.integers(0, 2**16),
        st.integers(0, 255),
        st.binary(min_size=1, max_size=12),
    ),
    min_size=1,
    max_size=8,
)


def edited(data, changes):
    """The bytes with some of them changed; most of a file stays as it is."""
    data = bytearray(data)
    for kind, where, value, more in changes:
        at = where % max(1, len(data))
        if kind == "set":
            data[at : at + 1] = bytes([value])
        elif kind == "flip" and data:
            data[at] ^= 1 << value % 8
        elif kind == "delete":
            del data[at : at + 1 + value % 16]
        elif kind == "insert":
            data[at:at] = more
        elif kind == "cut" and value < 64:
            del data[at:]
        elif kind == "copy":
            data[at : at + 16] = data[value : value + 16]
    return bytes(data)


def promises_hold(data):
    """Read the bytes; check what every activity promises."""
    try:
        activity = read_fit_bytes(data)
    except CoachError as problem:
        if "cannot be read around" in str(problem):
            raise
        return
    samples = activity.samples
    assert list(samples.columns) == COLUMNS
    assert {str(kind) for kind in samples.dtypes} == {"float64"}
    assert samples["time_s"].iloc[0] == 0.0
    assert (np.diff(samples["time_s"]) > 0).all()
    assert not np.isinf(samples.to_numpy()).any()
    assert not (samples["hr_bpm"] < 1).any()
    assert (activity.laps["stop_s"] > activity.laps["start_s"]).all()
    assert (activity.pauses["stop_s"] > activity.pauses["start_s"]).all()
    assert activity.rr_s.shape == activity.rr_time_s.shape
    assert (np.diff(activity.rr_time_s) >= 0).all()
    assert activity.parts[activity.part].sport == activity.sport
    assert activity.started_at.utcoffset().total_seconds() == 0
    assert all(said(activity))


@settings(max_examples=600, deadline=None, derandomize=True, database=None)
@given(changes=edits, is_own=st.booleans())
def test_changed_bytes(changes, is_own):
    promises_hold(edited(own_file() if is_own else other_writers_file(), changes))


@settings(max_examples=150, deadline=None, derandomize=True, database=None)
@given(body=st.binary(max_size=200))
def test_any_bytes_behind_a_good_start(body):
    promises_hold(body)
    promises_hold(own_file()[:200] + body)
