"""Drafts on disk: who may read them, whose they are, and what of them is found again."""

import json
import os
import stat
import subprocess
import sys
from datetime import UTC, datetime, timedelta

import pytest

from coachlib.errors import FileProblem
from coachlib.files.store.drafts import Drafts
from coachlib.records.decisions import Decisions

SHA = "9f2c" * 16
NOON = datetime(2026, 11, 29, 12, tzinfo=UTC)


def decided(kind):
    return Decisions(fit_sha256=SHA, kind=kind)


def drafts(folder, recording="2026-11-28_run", sha=SHA, part=None):
    return Drafts(folder / "drafts" / "ilva", recording, sha, part)


def keep(draft, kind="easy", at=NOON, based_on=None):
    draft.keep(decided(kind), rejected=(2, 5), based_on=based_on, kept_at=at)


def written_by(folder, then=""):
    """A draft that another process wrote; ``then`` is what it does before it ends."""
    code = (
        "import sys; from pathlib import Path; from datetime import datetime, UTC\n"
        "from coachlib.files.store.drafts import Drafts; from coachlib.records.decisions import Decisions\n"
        f"made = Drafts(Path({str(folder)!r}) / 'drafts' / 'ilva', '2026-11-28_run', {SHA!r}, None)\n"
        f"made.keep(Decisions(fit_sha256={SHA!r}, kind='long'), rejected=(), based_on='abc',"
        " kept_at=datetime(2026, 11, 29, 11, tzinfo=UTC))\n"
        f"print('kept', flush=True)\n{then}"
    )
    process = subprocess.Popen([sys.executable, "-c", code], stdin=subprocess.PIPE, stdout=subprocess.PIPE)
    assert process.stdout.readline() == b"kept\n"
    return process


@pytest.mark.skipif(os.name == "nt", reason="Windows has other permissions")
def test_only_the_owner_may_read_them(tmp_path):
    keep(drafts(tmp_path))
    [file] = (tmp_path / "drafts" / "ilva").iterdir()
    assert stat.S_IMODE(file.stat().st_mode) == 0o600
    assert stat.S_IMODE(file.parent.stat().st_mode) == 0o700


def test_what_a_killed_process_left_is_found_whole(tmp_path):
    process = written_by(tmp_path, "sys.stdin.read()")
    mine = drafts(tmp_path)
    assert mine.left_behind() is None, "its window is open"
    assert mine.is_open_elsewhere()
    process.kill()
    process.communicate()
    found = mine.left_behind()
    assert (found.decisions.kind, found.based_on) == ("long", "abc")
    assert not mine.is_open_elsewhere()


def test_two_windows_never_write_over_each_other(tmp_path):
    one, other = drafts(tmp_path), drafts(tmp_path)
    keep(one, "easy")
    keep(other, "long", at=NOON + timedelta(minutes=1))
    keep(one, "race", at=NOON + timedelta(minutes=2))
    one.release()
    other.release()
    third = drafts(tmp_path)
    assert third.left_behind().decisions.kind == "race"
    third.left_behind().path.unlink()
    assert third.left_behind().decisions.kind == "long"


def test_another_recording_session_or_other_bytes_are_not_taken_for_it(tmp_path):
    keep(mine := drafts(tmp_path))
    mine.release()
    assert drafts(tmp_path).left_behind() is not None
    assert drafts(tmp_path, recording="2026-11-28_ride").left_behind() is None
    assert drafts(tmp_path, sha="0" * 64).left_behind() is None
    assert drafts(tmp_path, part=1).left_behind() is None


def test_saved_or_dropped_it_is_gone(tmp_path):
    keep(mine := drafts(tmp_path))
    mine.drop()
    mine.drop()
    assert list((tmp_path / "drafts" / "ilva").iterdir()) == []


@pytest.mark.parametrize(
    "damage",
    [
        "",
        "{",
        "[]",
        '{"schema": 2}',
        '{"schema": 1}',
        '{"schema": 1, "kept_at": 5, "rejected": 1, "decisions": []}',
    ],
)
def test_a_damaged_draft_is_none_and_stops_nobody(tmp_path, damage):
    keep(mine := drafts(tmp_path))
    mine.release()
    [file] = (tmp_path / "drafts" / "ilva").iterdir()
    file.write_text(damage)
    assert drafts(tmp_path).left_behind() is None


def test_a_draft_of_another_computer_is_left_to_it(tmp_path):
    keep(mine := drafts(tmp_path))
    [file] = (tmp_path / "drafts" / "ilva").iterdir()
    held = json.loads(file.read_text())
    held["writer"] = ["another computer", 1, 0.0]
    file.write_text(json.dumps(held))
    other = drafts(tmp_path)
    assert other.left_behind() is None
    assert other.is_open_elsewhere()
    del mine


def test_where_nothing_can_be_written_the_coach_is_told(tmp_path):
    (tmp_path / "drafts").write_text("a file where the folder should be")
    with pytest.raises(FileProblem, match="your changes cannot be kept"):
        keep(drafts(tmp_path))
