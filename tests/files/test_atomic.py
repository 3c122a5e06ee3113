"""Nobody sees half a file, nothing is left behind, and no writer loses another one's work."""

import multiprocessing
import os
import stat
import sys

import pytest

from coachlib.errors import FileProblem
from coachlib.files import atomic


def test_contents_are_replaced_and_nothing_is_left(tmp_path):
    path = tmp_path / "a.toml"
    atomic.write_text(path, "first\n")
    atomic.write_text(path, "zweite Fassung: Größe\n")
    assert path.read_bytes() == "zweite Fassung: Größe\n".encode()
    assert [file.name for file in tmp_path.iterdir()] == ["a.toml"]


def test_a_failure_keeps_the_old_contents_and_leaves_nothing(tmp_path, monkeypatch):
    path = tmp_path / "a.toml"
    atomic.write_bytes(path, b"old")

    def full(_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileProblem, match=r"a\.toml cannot be written: No space left on device"):
        atomic.write_bytes(path, b"new")
    assert path.read_bytes() == b"old"
    assert [file.name for file in tmp_path.iterdir()] == ["a.toml"]


def test_a_missing_folder_is_told(tmp_path):
    with pytest.raises(FileProblem, match="cannot be written: No such file or directory"):
        atomic.write_text(tmp_path / "none" / "a.toml", "x")


@pytest.mark.skipif(sys.platform == "win32", reason="modes and links of POSIX")
def test_mode_and_link_stay(tmp_path):
    path, link = tmp_path / "a.toml", tmp_path / "link.toml"
    path.write_text("old")
    path.chmod(0o640)
    link.symlink_to(path)
    atomic.write_text(link, "new")
    assert link.is_symlink()
    assert path.read_text() == "new"
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def _count_up(path, folder, times):
    for _ in range(times):
        with atomic.locked(path, folder=folder):
            atomic.write_text(path, str(int(path.read_text()) + 1))


@pytest.mark.parametrize("in_own_folder", [True, False])
def test_two_writers_lose_nothing(tmp_path, in_own_folder):
    path = tmp_path / "count.txt"
    path.write_text("0")
    folder = tmp_path / ".coachlib" if in_own_folder else None
    processes = multiprocessing.get_context("spawn")
    writers = [processes.Process(target=_count_up, args=(path, folder, 40)) for _ in range(2)]
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(60)
    assert path.read_text() == "80"
    assert sorted(p.name for p in tmp_path.iterdir()) == ([".coachlib"] if in_own_folder else []) + [
        "count.txt"
    ]


def _hold(path, is_held, may_end):
    with atomic.locked(path):
        is_held.set()
        may_end.wait(30)


def test_a_file_held_elsewhere_is_told(tmp_path):
    processes = multiprocessing.get_context("spawn")
    is_held, may_end = processes.Event(), processes.Event()
    path = tmp_path / "a.toml"
    holder = processes.Process(target=_hold, args=(path, is_held, may_end))
    holder.start()
    try:
        assert is_held.wait(30)
        with (
            pytest.raises(FileProblem, match=r"being changed by another program since more than 0\.1 s"),
            atomic.locked(path, longest_wait_s=0.1),
        ):
            pass
    finally:
        may_end.set()
        holder.join(30)
    with atomic.locked(path), atomic.locked(path, longest_wait_s=0.1):
        atomic.write_text(path, "mine")
    assert path.read_text() == "mine"
