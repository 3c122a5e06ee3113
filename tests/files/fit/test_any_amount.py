"""Files built to be slow: an answer or a refusal in seconds, whatever they hold."""

import struct
import time

import numpy as np
import pytest
from fitbytes import START

from coachlib.errors import FileProblem
from coachlib.files.fit.container import checksum
from coachlib.files.fit.reading import read_fit_bytes, read_parts

ACTIVITY = b"\x40\0\0\0\0\1\0\1\0" + b"\0\4"
#: Processor time within which every answer comes; twenty times what most of them take.  [s]
LONGEST_S = 20.0


def defined(local, kind, *fields):
    return struct.pack("<BBBHB", 0x40 | local, 0, 0, kind, len(fields)) + b"".join(bytes(f) for f in fields)


def rows(n, kind, fields, *, local=1):
    """Messages of equal size from (number, base type, numpy type, values)."""
    layout = np.dtype([("head", "u1"), *((str(i), t) for i, (_, _, t, _) in enumerate(fields))])
    table = np.zeros(n, layout)
    table["head"] = local
    for i, (_, _, _, values) in enumerate(fields):
        table[str(i)] = values
    definition = defined(
        local, kind, *((f, layout[str(i)].itemsize, b) for i, (f, b, _, _) in enumerate(fields))
    )
    return definition + table.tobytes()


def records(n, *, times=None, extra=()):
    times = START + np.arange(n) if times is None else times
    return rows(n, 20, [(253, 0x86, "<u4", times), (3, 2, "u1", 140), *extra])


def written(body):
    data = struct.pack("<BBHI4s", 14, 0x20, 2132, len(body), b".FIT") + b"\0\0" + body
    return data + struct.pack("<H", checksum(data))


def answer(body):
    """Rows read, or the refusal's sentence; in time."""
    begin = time.process_time()
    try:
        found = sum(len(part.samples) for part in read_parts(written(ACTIVITY + body)))
    except FileProblem as problem:
        found = str(problem)
    assert time.process_time() - begin < LONGEST_S
    return found


def test_a_million_records():
    extra = [(6, 0x84, "<u2", 3000), (7, 0x84, "<u2", 200), (5, 0x86, "<u4", np.arange(1_000_000) * 3)]
    assert answer(records(1_000_000, extra=extra)) == 1_000_000


def test_a_day_with_two_million_beats():
    assert answer(records(90_000) + rows(2_000_000, 78, [(0, 0x84, "<u2", 400)], local=2)) == 90_000


@pytest.mark.parametrize("step_s", [-1, 0, 11])
def test_odd_steps(step_s):
    n = answer(records(300_000, times=START + np.arange(300_000) * step_s))
    assert n == {-1: 300_000, 0: 1, 11: 109_964}[step_s]


@pytest.mark.parametrize(
    ("body", "what"),
    [
        (defined(1, 999) + b"\1" * 4_000_000, "3,000,000 messages"),
        (defined(1, 20) * 400_000, "300,000 definitions"),
        (b"".join(defined(1, 20, (i & 255, 1, 2), (i >> 8, 1, 2)) for i in range(6000)), "5,000 different"),
        (rows(200_000, 19, [(2, 0x86, "<u4", START), (7, 0x86, "<u4", 60_000)]), "400,000 values"),
        (rows(200_000, 21, [(0, 0, "u1", 0), (1, 0, "u1", np.arange(200_000) % 2 * 4)]), "400,000 values"),
        (rows(90_000, 20, [(253, 0x86, "<u4", START), (73, 0x86, "<u8", 3000)]), "400,000 values"),
        (defined(3, 78, (0, 254, 0x84)) + (b"\3" + b"\x20\3" * 127) * 30_000, "3,000,000 beats"),
    ],
    ids=["messages", "definitions", "kinds", "laps", "events", "odd records", "beats"],
)
def test_more_than_any_recording_has(body, what):
    assert f"a recording may hold {what}" in answer(body)


def test_headers_everywhere():
    data = written(ACTIVITY + records(50))
    false_headers = b"\x0e\x20\0\0\xff\xff\xff\x7f.FIT" * 500_000
    begin = time.process_time()
    assert len(read_fit_bytes(data[:-2] + b"xy" + b"." + false_headers).samples) == 50
    assert time.process_time() - begin < LONGEST_S


def test_many_sessions_of_many_records():
    sessions = rows(
        50, 18, [(2, 0x86, "<u4", START + np.arange(50) * 4000), (7, 0x86, "<u4", 4_000_000)], local=2
    )
    assert answer(records(200_000) + sessions) == 200_000
