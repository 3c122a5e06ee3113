"""What killed runs leave goes; what is being written, locked or somebody else's stays."""

import os
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest

from coachlib.files import atomic
from coachlib.files.leftovers import ABANDONED_AFTER_S, marked_as_ours, remove_leftovers


@pytest.fixture
def gone():
    """The number of a process that is there no more."""
    process = subprocess.Popen([sys.executable, "-c", ""])
    process.wait()
    return process.pid


def aged(path, seconds):
    path.write_text("half")
    stamp = path.stat().st_mtime - seconds
    os.utime(path, (stamp, stamp))


def test_unfinished_files_of_runs_that_are_gone_are_removed(tmp_path, gone):
    host = marked_as_ours().partition("-")[0]
    dead = tmp_path / f".2026-W41.html.{host}-{gone}-0123abcd.tmp"
    old = [tmp_path / ".x.decisions.toml.0123456789ab.tmp", tmp_path / ".2026-W41-ab12_x9z.html"]
    aged(dead, 0)
    for path in old:
        aged(path, ABANDONED_AFTER_S + 60)
    kept = [
        tmp_path / f".a.html.{marked_as_ours()}-0123abcd.tmp",
        tmp_path / ".a.html.ffffff-1-0123abcd.tmp",
        tmp_path / ".y.decisions.toml.0123456789ab.tmp",
        tmp_path / ".hidden.html",
        tmp_path / "mine.tmp",
    ]
    for path in kept:
        aged(path, 60)
    remove_leftovers([tmp_path, tmp_path / "none"], locks=tmp_path / "locks")
    assert sorted(tmp_path.iterdir()) == sorted(kept)


def test_a_lock_goes_with_its_holder_and_a_forgotten_one_at_the_next_run(tmp_path):
    locks = tmp_path / "locks"
    with atomic.locked(tmp_path / "a", folder=locks):
        [held] = locks.iterdir()
        child = (
            "import sys; from pathlib import Path; from coachlib.files.leftovers import remove_leftovers\n"
        )
        child += "remove_leftovers([], locks=Path(sys.argv[1]))"
        subprocess.run([sys.executable, "-c", child, str(locks)], check=True)
        assert held.exists(), "another run leaves it alone"
    assert list(locks.iterdir()) == []
    (locks / "forgotten.lock").touch()
    remove_leftovers([], locks=locks)
    assert list(locks.iterdir()) == []


@pytest.mark.skipif(os.name != "posix", reason="processes are asked for by number on POSIX")
def test_the_sockets_of_a_process_that_is_gone_are_removed(gone, tmp_path, monkeypatch):
    monkeypatch.setattr(tempfile, "gettempdir", lambda: str(tmp_path))
    dead, alive, other = (tmp_path / n for n in (f"coach-{gone}-x", f"coach-{os.getpid()}-x", "coach-notes"))
    for folder in (dead, alive, other):
        folder.mkdir()
        (folder / "kernel.json").touch()
    remove_leftovers([], locks=tmp_path)
    assert sorted(p for p in tmp_path.iterdir() if p.is_dir()) == sorted([alive, other])


def test_several_files_are_replaced_together_or_not_at_all(tmp_path):
    files = {tmp_path / name: b"old" for name in "abc"}
    atomic.write_together(files)
    with pytest.raises(atomic.FileProblem):
        atomic.write_together({tmp_path / "a": b"new", tmp_path / "none" / "b": b"new"})
    assert {p.name: p.read_bytes() for p in Path(tmp_path).iterdir()} == dict.fromkeys("abc", b"old")
