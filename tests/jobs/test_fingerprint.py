"""What a page is made from: what counts changes it, what does not leaves it alone."""

from datetime import datetime

import pytest
from fitbytes import START
from rosters import fit_data, make_roster, put, wandering

from coachlib.files.roster.folder import open_roster
from coachlib.jobs import recordings
from coachlib.jobs.fingerprint import fingerprint
from coachlib.jobs.history import entry_of_athlete, read_athlete_week

WEEK = "2026-W40"


@pytest.fixture
def roster(tmp_path):
    folder = make_roster(tmp_path / "roster", "anna")
    put(folder / "anna", "2026-10-03_run.fit", fit_data(wandering(900), start=START))
    (folder / "anna" / "diary.csv").write_text("date,rpe\n2026-10-03,3\n")
    return folder


def made_from(folder):
    opened = open_roster(folder)
    return fingerprint(opened, [opened.athlete("anna")], "weekly_report", WEEK)


def entry(folder):
    opened = open_roster(folder)
    return entry_of_athlete(opened, opened.athlete("anna"), WEEK)


def test_a_recording_that_was_dated_ahead_counts_once_its_day_has_come(roster, monkeypatch):
    class BeforeIt(datetime):
        @classmethod
        def now(cls, tz=None):
            return datetime(2026, 9, 28, 12, tzinfo=tz)

    with monkeypatch.context() as patched:
        patched.setattr(recordings, "datetime", BeforeIt)
        before = made_from(roster)
        assert before == made_from(roster)
    assert made_from(roster) != before


def test_what_the_letter_kept_is_what_the_sheet_would_read(roster, monkeypatch):
    read_athlete_week(roster, "anna", WEEK)
    kept = entry(roster)
    with monkeypatch.context() as patched:
        patched.setattr("coachlib.jobs.history.week_of_athlete", None)  # read by nobody
        assert entry(roster) == kept
    for path in (roster / ".coachlib" / "entries" / "anna").iterdir():
        path.unlink()
    assert entry(roster) == kept


CHANGES = {
    "a diary's cell": lambda r: (r / "anna/diary.csv").write_text("date,rpe,health\n2026-10-03,3,ill\n"),
    "the profile": lambda r: (r / "anna/athlete.toml").write_text('name = "Anna"\nhr_max_bpm = 150\n'),
    "what the sheet goes by": lambda r: (r / "roster.toml").write_text(
        'name = "Club"\ntime_zone = "Europe/Vienna"\n[call_sheet]\nhidden = ["test due"]\n'
    ),
    "the time zone alone": lambda r: (r / "roster.toml").write_text(
        'name = "Test roster"\ncoach = "Coach"\ntime_zone = "Pacific/Auckland"\n'
    ),
}


@pytest.mark.parametrize("change", CHANGES)
def test_an_entry_made_from_something_else_is_not_taken(roster, monkeypatch, change):
    read_athlete_week(roster, "anna", WEEK)
    CHANGES[change](roster)
    read = []
    from coachlib.jobs import history

    really = history.week_of_athlete
    monkeypatch.setattr(history, "week_of_athlete", lambda *v, **n: (read.append(1), really(*v, **n))[1])
    entry(roster)
    assert read


def test_an_entry_of_another_program_is_not_taken(roster, monkeypatch):
    read_athlete_week(roster, "anna", WEEK)
    monkeypatch.setattr("coachlib.jobs.history.state_of_program", lambda: "another")
    monkeypatch.setattr("coachlib.jobs.history.week_of_athlete", None)
    with pytest.raises(TypeError):
        entry(roster)
