"""Whole recordings by two writers, and ways to change their bytes."""

import functools

from fit_tool.fit_file_builder import FitFileBuilder
from fit_tool.profile.messages.event_message import EventMessage
from fit_tool.profile.messages.file_id_message import FileIdMessage
from fit_tool.profile.messages.record_message import RecordMessage
from fit_tool.profile.messages.session_message import SessionMessage
from fit_tool.profile.profile_type import Event, EventType, FileType, Sport, SubSport
from fitbytes import CYCLING, START, steady_run
from hypothesis import strategies as st

from coachlib.files.fit.reading import FIT_EPOCH


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
