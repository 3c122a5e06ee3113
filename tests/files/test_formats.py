"""A kind of recording more is a reader and one line."""

import hashlib
import json
from dataclasses import replace

from built_activity import built_activity
from rosters import make_roster

from coachlib.files import formats
from coachlib.files.formats import Format
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.adding import add_recording
from coachlib.jobs.history import read_athlete_week
from coachlib.records.activity import Part


def read_plain(data):
    """A made-up kind: a line of JSON with the length of a run."""
    told = json.loads(data.partition(b"\n")[2])
    length_s = float(told["seconds"])
    only = Part(number=0, sport="running", start_s=0.0, stop_s=length_s, hr_s=length_s)
    sha256 = hashlib.sha256(data).hexdigest()
    return (replace(built_activity(seconds=told["seconds"]), sha256=sha256, parts=(only,)),)


PLAIN = Format(ending=".plain", is_of=lambda data: data.startswith(b"plain run\n"), read=read_plain)


def test_another_kind_of_file_is_added_listed_read_and_judged(tmp_path, monkeypatch):
    monkeypatch.setattr(formats, "FORMATS", (PLAIN, *formats.FORMATS))
    monkeypatch.setattr(formats, "ENDINGS", (".plain", ".fit"))
    roster = open_roster(make_roster(tmp_path / "roster", "anna"))
    source = tmp_path / "morning.plain"
    source.write_text('plain run\n{"seconds": 4000}')
    own = roster.athlete("anna")
    added = add_recording(roster, own, source)
    assert added.path.suffix == ".plain"
    monday = read_athlete_week(roster.path, "anna")
    (session,) = monday.week.sessions
    assert session.recording == added.path.stem
    assert session.elapsed_s == 3999
