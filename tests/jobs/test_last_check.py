"""A check told again: only where nothing that it reads has changed."""

import os
from datetime import date

import pytest
from fitbytes import START
from rosters import fit_data, put, wandering

from coachlib.__main__ import main
from coachlib.files import state
from coachlib.jobs import last_check

TODAY = date(2026, 11, 29)


@pytest.fixture
def roster(tmp_path, monkeypatch):
    """A roster of one whose files count as still, however new they are."""
    monkeypatch.setattr(state, "TICK_NS", 0)
    own = tmp_path / "roster" / "mira"
    (own / "notes").mkdir(parents=True)
    (own / "recordings").mkdir()
    (own / "athlete.toml").write_text('name = "Mira"\nhr_max_bpm = 190\n')
    (own / "notes" / "2026-W41.md").write_text("Well done.")
    (own / "diary.csv").write_text("date,rpe\n2026-10-03,3\n")
    put(own, "2026-10-03_run.fit", fit_data(wandering(900), start=START))
    (own.parent / "roster.toml").write_text('name = "Club"\n')
    (own / "elsewhere").symlink_to(tmp_path / "one")
    return own.parent


@pytest.fixture
def checks(monkeypatch):
    """How often a roster was really checked."""
    from coachlib.jobs import checking

    really, done = checking.check_roster, []
    monkeypatch.setattr(checking, "check_roster", lambda *a, **k: (done.append(1), really(*a, **k))[1])
    return done


def checked(roster, capsys, *, today=TODAY):
    status = main(["check", str(roster)], today=today)
    return status, capsys.readouterr().out


def test_an_unchanged_roster_is_told_again_without_reading_it(roster, checks, capsys):
    first = checked(roster, capsys)
    assert "elsewhere" in first[1]
    assert checked(roster, capsys) == first
    assert len(checks) == 1


def test_the_kept_answer_is_its_owners_alone(roster, capsys):
    checked(roster, capsys)
    assert (roster / ".coachlib" / "check.json").stat().st_mode & 0o077 == 0


def test_letters_written_since_and_what_is_derived_change_nothing(roster, checks, capsys):
    (roster / "mira" / "reports").mkdir()
    checked(roster, capsys)
    (roster / "mira" / "reports" / "2026-W41.html").write_text("a letter")
    (roster / ".coachlib" / "other").write_text("derived")
    checked(roster, capsys)
    assert len(checks) == 1


def other_bytes(roster):
    """The same size and the same time of change, other words."""
    path = roster / "mira" / "diary.csv"
    before = path.stat()
    path.write_text(path.read_text().replace("2026-10-03", "2026-10-04"))
    os.utime(path, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert path.stat().st_size == before.st_size


def exchanged(roster):
    """Another file of the same size and time put in its place."""
    path, other = roster / "mira" / "diary.csv", roster / "other"
    before = path.stat()
    other.write_text(path.read_text().replace(",3", ",4"))
    os.utime(other, ns=(before.st_atime_ns, before.st_mtime_ns))
    other.replace(path)


CHANGES = {
    "a file touched": lambda r: (r / "mira" / "athlete.toml").touch(),
    "other bytes of the same size and time": other_bytes,
    "another file in its place": exchanged,
    "a recording renamed": lambda r: (r / "mira/recordings/2026-10-03_run.fit").rename(
        r / "mira/recordings/2026-10-04_run.fit"
    ),
    "a note taken away": lambda r: (r / "mira" / "notes" / "2026-W41.md").unlink(),
    "a setting of the roster": lambda r: (r / "roster.toml").write_text(
        'name = "Club"\nstale_after_weeks = 2'
    ),
    "an empty folder, as of a new athlete": lambda r: (r / "eva").mkdir(),
    "a link that leads elsewhere": lambda r: (
        (r / "mira" / "elsewhere").unlink(),
        (r / "mira" / "elsewhere").symlink_to(r.parent / "two"),
    ),
    "what a link leads to": lambda r: (r.parent / "one").mkdir(),
    "a file that may not be read any more": lambda r: (r / "mira" / "diary.csv").chmod(0o000),
    "a folder that may not be read any more": lambda r: (r / "mira" / "notes").chmod(0o300),
    "a link among the letters": lambda r: (
        (r / "mira" / "reports").mkdir(),
        (r / "mira" / "reports" / "out").symlink_to(r.parent),
    ),
    "a damaged answer": lambda r: (r / ".coachlib" / "check.json").write_bytes(b"no\nmore\n{}"),
    "an answer that was touched up": lambda r: (r / ".coachlib" / "check.json").write_bytes(
        (r / ".coachlib" / "check.json").read_bytes().replace(b"problem", b"advice!")
    ),
}


@pytest.mark.parametrize("change", CHANGES)
def test_whatever_changes_is_checked_anew(roster, checks, capsys, change):
    checked(roster, capsys)
    CHANGES[change](roster)
    checked(roster, capsys)
    assert len(checks) == 2


def test_another_day_is_checked_anew(roster, checks, capsys):
    checked(roster, capsys)
    assert "device's clock" in checked(roster, capsys, today=date(2026, 10, 1))[1]
    assert len(checks) == 2


def test_another_program_checks_anew(roster, checks, capsys, monkeypatch):
    checked(roster, capsys)
    monkeypatch.setattr(last_check, "state_of_program", lambda: "changed without another version")
    checked(roster, capsys)
    assert len(checks) == 2


def test_a_roster_carried_to_another_place_is_checked_anew(roster, checks, capsys):
    checked(roster, capsys)
    checked(roster.rename(roster.with_name("moved")), capsys)
    assert len(checks) == 2


def test_a_file_from_the_future_is_read_each_time(roster, checks, capsys):
    os.utime(roster / "mira" / "diary.csv", (4e9, 4e9))
    assert checked(roster, capsys) == checked(roster, capsys)
    assert len(checks) == 2


def test_what_changes_while_it_is_checked_is_not_kept(roster, capsys, monkeypatch):
    from coachlib.jobs import checking

    really = checking.check_roster

    def meanwhile(*values, **named):
        found = really(*values, **named)
        (roster / "mira" / "diary.csv").write_text("date,rpe\n2026-10-03,12\n")
        return found

    with monkeypatch.context() as patched:
        patched.setattr(checking, "check_roster", meanwhile)
        checked(roster, capsys)
    assert '"12"' in checked(roster, capsys)[1]
