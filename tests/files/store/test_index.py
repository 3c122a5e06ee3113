"""The index says what lies in a folder of recordings, opens only what is new or changed, and is never wrong."""

import os
import shutil

import pytest
from fitbytes import CYCLING, RUNNING, START, FitBytes, steady_run

from coachlib.files.fit.reading import read_fit
from coachlib.files.store import index as index_module
from coachlib.files.store.index import Index


@pytest.fixture
def recordings(tmp_path):
    folder = tmp_path / "ada" / "recordings"
    folder.mkdir(parents=True)
    for name, seconds in (("a", 60), ("b", 90), ("c", 120)):
        (folder / f"{name}.fit").write_bytes(steady_run(seconds).bytes())
        os.utime(folder / f"{name}.fit", (1e9, 1e9))
    return folder


@pytest.fixture
def settled(monkeypatch):
    """As if every file had changed long ago: its time of change cannot be set by hand."""
    monkeypatch.setattr(index_module, "TICK_NS", -(10**12))


def opened(monkeypatch):
    """Names of the files that are hashed from now on."""
    names = []
    hashed = index_module.sha256_of
    monkeypatch.setattr(index_module, "sha256_of", lambda path: names.append(path.name) or hashed(path))
    return names


def facts(entries):
    return [(e.path.name, e.sha256, e.part.started_at, e.part.elapsed_s, e.problem) for e in entries]


def decoded(folder):
    activities = [(p.name, read_fit(p)) for p in sorted(folder.glob("*.fit"))]
    return [(name, a.sha256, a.started_at, a.elapsed_s, "") for name, a in activities]


def test_it_says_what_the_recordings_say(tmp_path, recordings):
    (entry, *_) = Index.of(tmp_path / ".coachlib").entries(recordings)
    activity = read_fit(recordings / "a.fit")
    assert (entry.device, entry.utc_offset_s) == (activity.device, activity.utc_offset_s)
    assert (entry.part.sport, entry.part.sub_sport) == ("running", "treadmill")
    assert entry.part.stopped_at > entry.part.started_at == activity.started_at
    assert facts(Index.of(tmp_path / ".coachlib").entries(recordings)) == decoded(recordings)


@pytest.mark.usefixtures("settled")
def test_unchanged_recordings_are_not_opened_by_the_next_command(tmp_path, recordings, monkeypatch):
    before = Index.of(tmp_path / ".coachlib").entries(recordings)
    names = opened(monkeypatch)
    assert Index.of(tmp_path / ".coachlib").entries(recordings) == before
    assert names == []


@pytest.mark.usefixtures("settled")
def test_new_changed_and_removed_recordings(tmp_path, recordings, monkeypatch):
    index = Index.of(tmp_path / ".coachlib")
    index.entries(recordings)
    names = opened(monkeypatch)
    (recordings / "a.fit").unlink()
    (recordings / "b.fit").write_bytes(steady_run(100).bytes())
    (recordings / "d.fit").write_bytes(steady_run(70).bytes())
    assert facts(Index.of(tmp_path / ".coachlib").entries(recordings)) == decoded(recordings)
    assert names == ["b.fit", "d.fit"]


@pytest.mark.usefixtures("settled")
def test_another_file_of_the_same_size_and_time_is_noticed(tmp_path, recordings):
    Index.of(tmp_path / ".coachlib").entries(recordings)
    path = recordings / "a.fit"
    size = path.stat().st_size
    path.write_bytes(steady_run(60, hr=150).bytes())
    os.utime(path, (1e9, 1e9))
    assert path.stat().st_size == size
    assert facts(Index.of(tmp_path / ".coachlib").entries(recordings)) == decoded(recordings)


@pytest.mark.parametrize("when_s", [1.0, 4e9])
def test_a_wrong_clock_costs_a_reading_and_no_wrong_answer(tmp_path, recordings, monkeypatch, when_s):
    os.utime(recordings / "a.fit", (when_s, when_s))
    before = Index.of(tmp_path / ".coachlib").entries(recordings)
    names = opened(monkeypatch)
    assert Index.of(tmp_path / ".coachlib").entries(recordings) == before
    assert "a.fit" in names  # it changed just now


def test_a_hashed_recording_that_is_the_same_is_not_decoded_again(tmp_path, recordings, monkeypatch):
    before = Index.of(tmp_path / ".coachlib").entries(recordings)
    os.utime(recordings / "b.fit")
    monkeypatch.setattr(index_module, "_facts", lambda *_: pytest.fail("decoded again"))
    after = Index.of(tmp_path / ".coachlib").entries(recordings)
    assert facts(after) == facts(before)


@pytest.mark.parametrize("damage", ["empty", "cut", "flipped", "old"])
def test_a_damaged_index_is_made_anew(tmp_path, recordings, damage):
    before = Index.of(tmp_path / ".coachlib").entries(recordings)
    (kept,) = (tmp_path / ".coachlib" / "index").iterdir()
    data = bytearray(kept.read_bytes())
    data[len(data) // 2] ^= 4
    damaged = {"empty": b"", "cut": bytes(data[:-9]), "flipped": bytes(data), "old": b"{}"}[damage]
    kept.write_bytes(damaged)
    assert Index.of(tmp_path / ".coachlib").entries(recordings) == before
    assert kept.read_bytes() != damaged


@pytest.mark.skipif(os.name != "posix", reason="permissions of another kind")
def test_only_the_owner_can_read_it(tmp_path, recordings):
    Index.of(tmp_path / ".coachlib").entries(recordings)
    (kept,) = (tmp_path / ".coachlib" / "index").iterdir()
    assert [p.stat().st_mode & 0o777 for p in (kept.parent.parent, kept.parent, kept)] == [
        0o700,
        0o700,
        0o600,
    ]


def test_a_roster_that_was_moved_and_one_that_cannot_be_written(tmp_path, recordings):
    before = facts(Index.of(tmp_path / ".coachlib").entries(recordings))
    shutil.copytree(tmp_path / "ada", tmp_path / "moved" / "ada")
    (tmp_path / "moved" / ".coachlib").write_text("a file where the folder should be")
    assert facts(
        Index.of(tmp_path / "moved" / ".coachlib").entries(tmp_path / "moved" / "ada" / "recordings")
    ) == (before)
    assert Index.of(tmp_path / ".coachlib").entries(tmp_path / "none" / "recordings") == ()


def test_unreadable_recordings_and_several_sessions(tmp_path, recordings):
    (recordings / "a.fit").write_bytes(b"<html></html>")
    fit = FitBytes().file_id()
    for s in range(200):
        fit.record(START + s, 120 if s < 50 else 130)
    fit.session(START, 50, RUNNING).session(START + 50, 150, CYCLING)
    (recordings / "b.fit").write_bytes(fit.bytes())
    bad, several, _ = Index.of(tmp_path / ".coachlib").entries(recordings)
    assert "web page" in bad.problem
    assert bad.parts == ()
    assert [(p.number, p.sport, p.elapsed_s) for p in several.parts] == [
        (0, "running", 49.0),
        (1, "cycling", 149.0),
    ]
    assert several.part.sport == "cycling"
