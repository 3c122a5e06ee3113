"""The store gives back exactly what was decoded, and never stands in the way."""

import dataclasses
import multiprocessing
import os
import shutil

import numpy as np
import pandas as pd
import pytest
from fitbytes import CYCLING, RUNNING, START, TREADMILL, FitBytes, steady_run

from coachlib.errors import FileProblem
from coachlib.files.fit.reading import read_fit
from coachlib.files.store import store as store_module
from coachlib.files.store.packing import unpacked
from coachlib.files.store.store import Store, sha256_of


def full_file():
    """A file that fills every field of an activity: beats, pauses, laps, two sessions, caveats."""
    fit = FitBytes().file_id().timer(START, 0)
    fit.device(1, 120, serial=11, source=1).device(2, 11, serial=22, source=1).device(
        3, 124, serial=33, source=1
    )
    for s in [*range(120), *range(200, 300)]:
        fit.record(START + s, None if s % 7 == 0 else 120 + s % 3, (73, "uint32", 2777 + s)).beats(
            0.4871, 0.513
        )
    fit.timer(START + 119, 4).timer(START + 180, 0).lap(START, 99.123).lap(START + 99, 201.5)
    fit.session(START, 299, RUNNING, TREADMILL).session(START + 290, 10, CYCLING)
    return fit.activity(START + 300, START + 300 - 3600 * 8).bytes(footer=b"\0\0")


@pytest.fixture
def recording(tmp_path):
    path = tmp_path / "a.fit"
    path.write_bytes(full_file())
    return path


def assert_same(first, second):
    for field in dataclasses.fields(first):
        one, other = getattr(first, field.name), getattr(second, field.name)
        if isinstance(one, pd.DataFrame):
            pd.testing.assert_frame_equal(one, other, check_exact=True)
        elif isinstance(one, np.ndarray):
            assert one.dtype == other.dtype
            np.testing.assert_array_equal(one, other)
        else:
            assert one == other, field.name
            assert type(one) is type(other)


@pytest.mark.parametrize("part", [None, 0, 1])
def test_what_comes_back_is_what_was_decoded(tmp_path, recording, part, monkeypatch):
    store = Store(tmp_path / "store")
    decoded = read_fit(recording, part=part)
    assert decoded.caveats
    assert (decoded.heart_rate_sensor, decoded.power_sensor, decoded.stride_sensor) == ("11", "22", "33")
    assert decoded.rr_s.size
    assert_same(decoded, store.activity(recording, part=part))
    monkeypatch.setattr(store_module, "format_of", lambda _: pytest.fail("decoded again"))
    assert_same(decoded, store.activity(recording, part=part))


def test_an_activity_without_beats_pauses_and_laps(tmp_path):
    path = tmp_path / "b.fit"
    path.write_bytes(FitBytes().file_id().record(START, None).bytes())
    store = Store(tmp_path / "store")
    assert_same(store.activity(path), store.activity(path))
    assert_same(read_fit(path), store.activity(path))


def test_parts_do_not_mix(tmp_path, recording):
    store = Store(tmp_path / "store")
    assert [store.activity(recording, part=p).sport for p in (0, 1, None, 0)] == [
        "running",
        "cycling",
        "running",
        "running",
    ]


def test_a_changed_file_is_another_recording(tmp_path, recording):
    store = Store(tmp_path / "store")
    before = store.activity(recording)
    recording.write_bytes(steady_run(60).bytes())
    after = store.activity(recording)
    assert (before.sha256 != after.sha256, len(after.samples), after.sha256) == (
        True,
        60,
        sha256_of(recording),
    )


@pytest.mark.parametrize("version", ["READER_VERSION", "SCHEMA_VERSION"])
def test_a_new_version_decodes_again_and_removes_what_the_old_one_kept(
    tmp_path, recording, version, monkeypatch
):
    Store(tmp_path / "store").activity(recording)
    (before,) = (tmp_path / "store").iterdir()
    monkeypatch.setattr(store_module, version, 99)
    Store(tmp_path / "store").activity(recording)
    (after,) = (tmp_path / "store").iterdir()
    assert before.name != after.name


def test_every_part_from_one_decoding(tmp_path, recording, monkeypatch):
    store = Store(tmp_path / "store")
    decoded = store.parts(recording)
    assert [(p.part, p.sport) for p in decoded] == [(0, "running"), (1, "cycling")]
    monkeypatch.setattr(store_module, "format_of", lambda _: pytest.fail("decoded again"))
    for one, other in zip(decoded, store.parts(recording), strict=True):
        assert_same(one, other)
    assert_same(decoded[1], store.activity(recording, part=1))
    monkeypatch.setattr(store_module, "fit_bytes", lambda *_: pytest.fail("read again"))
    assert_same(decoded[0], store.parts(recording, sha256=decoded[0].sha256)[0])


@pytest.mark.skipif(os.name != "posix", reason="permissions of another kind")
def test_only_the_owner_can_read_what_is_kept(tmp_path, recording):
    folder = tmp_path / "store"
    folder.mkdir(mode=0o755)
    Store(folder).activity(recording)
    (stored,) = folder.iterdir()
    assert (folder.stat().st_mode & 0o777, stored.stat().st_mode & 0o777) == (0o700, 0o600)


def test_what_a_stopped_program_left_goes_and_other_files_stay(tmp_path, recording):
    folder = tmp_path / "store"
    folder.mkdir()
    for name in (".old.tmp", ".fresh.tmp", "index.json"):
        (folder / name).write_bytes(b"x")
    os.utime(folder / ".old.tmp", (1.0, 1.0))
    Store(folder).activity(recording)
    left = {path.name for path in folder.iterdir()}
    assert left >= {".fresh.tmp", "index.json"}
    assert ".old.tmp" not in left


def test_any_flipped_bit_is_noticed(tmp_path, recording):
    store = Store(tmp_path / "store")
    decoded = store.activity(recording)
    (stored,) = store.folder.iterdir()
    data = stored.read_bytes()
    at_start = data.index(decoded.started_at.isoformat().encode())
    at_sport = data.index(b'"running"')
    places = [0, 31, 32, at_start + 3, at_sport + 2, len(data) - 1]
    places += np.random.default_rng(4).integers(0, len(data), 60).tolist()
    for at in places:
        flipped = bytearray(data)
        flipped[at] ^= 1 << at % 8
        assert unpacked(bytes(flipped), decoded.sha256) is None


@pytest.mark.parametrize("damage", ["empty", "cut", "text", "flipped", "other"])
def test_a_damaged_store_is_made_anew_in_silence(tmp_path, recording, damage):
    store = Store(tmp_path / "store")
    decoded = store.activity(recording)
    (stored,) = store.folder.iterdir()
    data = stored.read_bytes()
    if damage == "other":
        other = tmp_path / "b.fit"
        other.write_bytes(steady_run(60).bytes())
        Store(tmp_path / "other").activity(other)
        (source,) = (tmp_path / "other").iterdir()
        damaged = source.read_bytes()
    else:
        flipped = bytearray(data)
        flipped[60] ^= 0xFF
        damaged = {"empty": b"", "cut": data[:-100], "text": b"none", "flipped": bytes(flipped)}[damage]
    stored.write_bytes(damaged)
    assert_same(decoded, store.activity(recording))
    assert stored.read_bytes() == data


def test_the_store_can_be_deleted_at_any_time(tmp_path, recording):
    store = Store(tmp_path / "store")
    decoded = store.activity(recording)
    shutil.rmtree(store.folder)
    assert_same(decoded, store.activity(recording))


def test_a_store_that_cannot_be_written_is_passed_over(tmp_path, recording):
    (tmp_path / "store").write_text("a file where the folder should be")
    assert_same(read_fit(recording), Store(tmp_path / "store").activity(recording))


def test_refusals_are_not_stored(tmp_path):
    path = tmp_path / "c.fit"
    path.write_bytes(b"<html></html>")
    store = Store(tmp_path / "store")
    with pytest.raises(FileProblem, match="web page"):
        store.activity(path)
    with pytest.raises(FileProblem, match="cannot be opened"):
        store.activity(tmp_path / "none.fit")
    assert not store.folder.exists()


def test_running_out_of_memory_is_not_stored(tmp_path, recording, monkeypatch):
    store = Store(tmp_path / "store")

    def no_memory(*_, **__):
        raise MemoryError

    monkeypatch.setattr("coachlib.files.fit.singles._copied", no_memory)
    with pytest.raises(MemoryError):
        store.activity(recording)
    assert not store.folder.exists()


def _read_often(path, folder, results):
    store = Store(folder)
    results.put(sum(len(store.activity(path, part=part).samples) for _ in range(30) for part in (None, 0, 1)))


def test_two_programs_at_once(tmp_path, recording):
    processes = multiprocessing.get_context("spawn")
    results = processes.Queue()
    readers = [
        processes.Process(target=_read_often, args=(recording, tmp_path / "store", results)) for _ in range(2)
    ]
    for reader in readers:
        reader.start()
    totals = [results.get(timeout=60) for _ in readers]
    for reader in readers:
        reader.join(30)
    n_rows = sum(len(read_fit(recording, part=part).samples) for part in (None, 0, 1))
    assert totals == [30 * n_rows] * 2
    assert len(list((tmp_path / "store").iterdir())) == 1
