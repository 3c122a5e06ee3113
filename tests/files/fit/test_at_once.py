"""Reading at once gives what the decoder gives, value for value, whatever the bytes."""

import contextlib
import dataclasses
from pathlib import Path

import numpy as np
import pytest
from fitbytes import START, FitBytes, steady_run
from fitmutations import edited, edits, other_writers_file, own_file
from hypothesis import given, settings
from hypothesis import strategies as st
from recordings import recording

from coachlib.errors import FileProblem
from coachlib.files.fit.bulk import Odd, counted_on
from coachlib.files.fit.container import split
from coachlib.files.fit.messages import gather_at_once, gather_singly
from coachlib.files.fit.reading import read_fit_bytes

DEMO = sorted((Path(__file__).parents[3] / "athletes_demo").glob("*/recordings/*.fit"))
REAL = [
    "indoor_ride_38min.fit",
    "indoor_row_28min.fit",
    "indoor_ride_18min_beats.fit",
    "run_57min_sparse.fit",
    "run_65min_compressed.fit",
    "damaged_wrong_crc.fit",
    "damaged_cut.fit",
]


def plain(messages):
    """Everything gathered, comparable with ``==``."""
    return {f.name: comparable(getattr(messages, f.name)) for f in dataclasses.fields(messages)}


def comparable(value):
    if isinstance(value, np.ndarray):
        return value.dtype.str, value.tobytes()
    if isinstance(value, dict):
        return {key: comparable(entry) for key, entry in value.items()}
    return repr(value) if isinstance(value, (float, list)) else value


def differing(data):
    """Fields in which the two ways of reading differ; None where reading at once leaves the file to the decoder."""
    found = []
    for segment in split(data):
        try:
            at_once = gather_at_once(segment)
        except Odd:
            return None
        singly = gather_singly(segment)
        reads_on = singly.damaged_at_byte is not None and (
            at_once.damaged_at_byte is None or at_once.damaged_at_byte > singly.damaged_at_byte
        )
        if reads_on:  # the decoder stumbles over something that nobody needs: what it has is the beginning
            n = singly.time.size
            assert at_once.time[:n].tobytes() == singly.time.tobytes()
            assert at_once.time.size >= n
            continue
        one, other = plain(at_once), plain(singly)
        found += [name for name in one if one[name] != other[name]]
    return found


@pytest.mark.parametrize("name", REAL)
def test_real_recordings(name):
    assert differing(recording(name).read_bytes()) == []


@pytest.mark.parametrize("path", DEMO[::9], ids=lambda p: p.stem)
def test_recordings_of_the_demo(path):
    assert differing(path.read_bytes()) == []


def test_files_of_two_writers():
    assert differing(own_file()) == []
    assert differing(other_writers_file()) == []


@settings(max_examples=400, deadline=None, derandomize=True, database=None)
@given(changes=edits, is_own=st.booleans())
def test_changed_bytes(changes, is_own):
    data = edited(own_file() if is_own else other_writers_file(), changes)
    with contextlib.suppress(FileProblem):  # bytes that do not begin like a FIT file
        assert not differing(data)


@pytest.mark.parametrize("name", REAL[:5])
def test_changed_bytes_of_real_recordings(name):
    data = recording(name).read_bytes()[:8000]
    rng = np.random.default_rng(11)
    for _ in range(12):
        changed = bytearray(data)
        for at in rng.integers(14, rng.choice([600, len(data)]), rng.integers(1, 5)):
            changed[at] = rng.integers(256)
        assert not differing(bytes(changed))


def big_endian():
    """A file whose records are written in the other order of bytes, by re-stating its definition."""
    fit = FitBytes().file_id()
    fit.body += bytes([0x40 | 3, 0, 1, 0, 20, 3, 253, 4, 0x86, 3, 1, 2, 7, 2, 0x84])
    for s in range(5):
        fit.body += (
            bytes([3]) + (START + s).to_bytes(4, "big") + bytes([120 + s]) + (200 + s).to_bytes(2, "big")
        )
    return fit.session(START, 4).bytes()


def test_both_orders_of_bytes():
    assert differing(big_endian()) == []
    assert read_fit_bytes(big_endian()).samples["power_w"].tolist() == [200.0, 201.0, 202.0, 203.0, 204.0]


def test_definitions_that_change_and_come_again():
    fit = FitBytes().file_id()
    for s in range(40):
        extra = [(7, "uint16", 200 + s)] if s % 3 else [(6, "uint16", 2000 + s), (4, "uint8", 80)]
        fit.message(20, (253, "uint32", START + s), (3, "uint8", 120), *extra, local=5)
        fit.message(78, (0, "uint16", (500 + s, None)), local=5)
        fit.message(65000, (253, "uint32", START), (9, "string", b"x" * (1 + s % 4)), local=5)
    assert differing(fit.session(START, 40).bytes()) == []


@pytest.mark.parametrize(
    "odd",
    [
        [(3, "uint16", 120)],
        [(73, "uint32", (3100, 3200))],
        [(253, "uint32", START + 5)],
        [(3, "float64", 120.0)],
    ],
)
def test_what_is_written_oddly_is_left_to_the_decoder(odd):
    fit = steady_run(5)
    fit.record(START + 5, 140, *odd)
    data = fit.bytes()
    assert differing(data) in (None, [])
    assert len(read_fit_bytes(data).samples) == 6


def test_sizes_of_developer_fields_are_believed():
    """A developer's field smaller than the type it is said to have stops the decoder, not the reading."""
    fit = FitBytes().file_id().message(207, (3, "uint8", 0))
    fit.message(206, (0, "uint8", 0), (1, "uint8", 1), (2, "uint8", 0x86))
    fit.body += bytes([0x60 | 12, 0, 0, 20, 0, 2, 253, 4, 0x86, 3, 1, 2, 1, 1, 3, 0])
    for s in range(9):
        fit.body += bytes([12]) + (START + s).to_bytes(4, "little") + bytes([130, 1, 2, 3])
    samples = read_fit_bytes(fit.session(START, 8).bytes()).samples
    assert samples["hr_bpm"].tolist() == [130.0] * 9


def test_counts_of_which_few_bits_are_written():
    true = np.cumsum(np.random.default_rng(2).integers(0, 4095, 500))
    assert counted_on(true & 0xFFF, bits=12, restarts=np.array([0])).tolist() == true.tolist()
    twice = np.concatenate((true, true))
    assert counted_on(twice & 0xFFF, bits=12, restarts=np.array([0, 500])).tolist() == twice.tolist()
