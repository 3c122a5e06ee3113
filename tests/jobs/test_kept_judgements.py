"""Kept judgements are read, and never where anything they were made from is another."""

import os
import shutil
from datetime import date

import pytest
from fitbytes import START
from rosters import DAY_S, fit_data, make_roster, put, wandering

from coachlib.files.roster.folder import open_roster
from coachlib.jobs import recordings
from coachlib.jobs.recordings import Recordings

NAMES = ("2026-10-03_run", "2026-10-04_run")


@pytest.fixture
def roster(tmp_path):
    folder = make_roster(tmp_path / "roster", "anna")
    for n, name in enumerate(NAMES):
        hr = wandering(2700, seed=n, around=140)
        put(folder / "anna", f"{name}.fit", fit_data(hr, start=START + n * DAY_S))
    (folder / "anna" / "diary.csv").write_text("date,rpe\n2026-10-03,3\n2026-10-04,4\n")
    return folder


@pytest.fixture
def judgings(monkeypatch):
    """The names of the recordings that were really judged."""
    really, done = recordings.judge, []

    def judge(name, *values, **named):
        done.append(name)
        return really(name, *values, **named)

    monkeypatch.setattr(recordings, "judge", judge)
    return done


def judged(roster):
    """Everything, as a program finds it that has only just been started."""
    folder = open_roster(roster)
    return list(Recordings(folder=folder, own=folder.athlete("anna")).judged_until(date(2027, 1, 1)))


def kept(roster):
    return sorted((roster / ".coachlib" / "judged" / "anna").iterdir())


def fit(roster):
    return roster / "anna" / "recordings" / f"{NAMES[0]}.fit"


def test_what_was_judged_is_read_and_is_the_same(roster, judgings):
    first = judged(roster)
    assert judgings == list(NAMES)
    assert judged(roster) == first
    assert judgings == list(NAMES)


def test_a_touched_recording_is_judged_once(roster, judgings):
    first = judged(roster)
    os.utime(fit(roster), (1, 1))
    assert judged(roster) == first
    assert len(judgings) == 2


def other_bytes(roster):
    """As long as before and as old, with another heart."""
    before = fit(roster).stat()
    fit(roster).write_bytes(fit_data(wandering(2700, seed=7, around=150), start=START))
    os.utime(fit(roster), ns=(before.st_atime_ns, before.st_mtime_ns))
    assert fit(roster).stat().st_size == before.st_size


def exchanged(roster):
    """Two recordings take each other's names."""
    one, other = (fit(roster).with_name(f"{name}.fit") for name in NAMES)
    between = one.with_name("between")
    one.rename(between)
    other.rename(one)
    between.rename(other)


def kept_exchanged(roster):
    """Two kept judgements take each other's places."""
    one, other = kept(roster)
    content = one.read_bytes()
    shutil.copy(other, one)
    other.write_bytes(content)


def rewritten(path, old, new):
    path.write_bytes(path.read_bytes().replace(old, new, 1))


CHANGES = {
    "other bytes of the same size and time": (other_bytes, {NAMES[0]}),
    "two recordings that change names": (exchanged, set(NAMES)),
    "two kept files that change names": (kept_exchanged, set(NAMES)),
    "a kept number touched up": (lambda r: rewritten(kept(r)[0], b"2026-10-03_run", b"2026-10-09_run"), {NAMES[0]}),
    "a kept file cut short": (lambda r: kept(r)[0].write_bytes(kept(r)[0].read_bytes()[:-9]), {NAMES[0]}),
    "one day's effort": (lambda r: rewritten(r / "anna" / "diary.csv", b"03,3", b"03,7"), {NAMES[0]}),
    "a row that moves to the other day": (
        lambda r: rewritten(r / "anna" / "diary.csv", b"2026-10-03", b"2026-10-02"),
        {NAMES[0]},
    ),
    "the athlete's maximum": (
        lambda r: (r / "anna" / "athlete.toml").write_text('schema = 1\nname = "Anna Example"\nhr_max_bpm = 150\n'),
        set(NAMES),
    ),
    "a threshold withdrawn, and nothing else": (
        lambda r: (r / "anna" / "athlete.toml").write_text(
            'schema = 1\nname = "Anna Example"\n[[threshold]]\nwhich = "first"\non = 2026-10-01\nhr_bpm = 140\n'
            "withdrawn = true\n"
        ),
        set(NAMES),
    ),
    "the roster's time zone": (lambda r: rewritten(r / "roster.toml", b"Europe/Vienna", b"Asia/Tokyo"), set(NAMES)),
    "the criterion": (lambda r: rewritten(r / "roster.toml", b"name", b"criterion_pct = 4.0\nname"), set(NAMES)),
}  # fmt: skip


@pytest.mark.parametrize("change", CHANGES)
def test_made_from_something_else_it_is_judged_anew(roster, judgings, change):
    judged(roster)
    judgings.clear()
    how, which = CHANGES[change]
    how(roster)
    now = judged(roster)
    assert set(judgings) == which
    shutil.rmtree(roster / ".coachlib")
    assert judged(roster) == now


@pytest.mark.parametrize(
    ("module", "name"), [("judging", "METHOD"), ("steady_stretch", "METHOD"), (None, "READER_VERSION")]
)
def test_other_rules_judge_anew(roster, judgings, monkeypatch, module, name):
    judged(roster)
    monkeypatch.setattr(getattr(recordings, module) if module else recordings, name, "another")
    judged(roster)
    assert len(judgings) == 4
