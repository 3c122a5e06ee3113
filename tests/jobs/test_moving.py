"""A misfiled recording goes to whom it belongs, with all that belongs to it, and nothing is lost on the way."""

from datetime import UTC, date, datetime
from pathlib import Path

import pytest
from rosters import fit_data, make_roster, put, wandering

from coachlib.errors import FileProblem, RosterProblem
from coachlib.files.roster.folder import open_roster
from coachlib.files.store.drafts import Drafts
from coachlib.files.store.store import sha256_of
from coachlib.jobs import moving
from coachlib.jobs.moving import move
from coachlib.jobs.publishing import Page, publish
from coachlib.jobs.recordings import Recordings
from coachlib.records.decisions import Decisions

NAME = "2026-10-03_treadmill"
TODAY = date(2026, 11, 1)
DATA = fit_data(wandering())


@pytest.fixture
def roster(tmp_path):
    folder = make_roster(tmp_path / "roster", "anna", "berta")
    put(folder / "anna", f"{NAME}.fit", DATA)
    on = open_roster(folder)
    anna = on.athlete("anna")
    fit = anna.recordings()[0]
    anna.save_decisions(fit, Decisions(fit_sha256=sha256_of(fit), kind="easy"), based_on=None)
    day = next(Recordings(folder=on, own=anna).open()).on
    (folder / "anna/diary.csv").write_text(
        f"date;recording;rpe;remarks;mood\n{day};{NAME};3,5;hills;good\n2026-10-09;;4;mine;\n"
    )
    (folder / "berta/diary.csv").write_text(f"remarks,date\nrest,{day}\n")
    return open_roster(folder)


def moved(roster, name=NAME, **more):
    fresh = open_roster(roster.path)
    return move(fresh, fresh.athlete("anna"), name, fresh.athlete("berta"), today=TODAY, **more)


def everything(folder):
    paths = (p for p in Path(folder).rglob("*") if p.is_file() and ".coachlib" not in p.parts)
    return {p.relative_to(folder).as_posix(): p.read_bytes() for p in paths}


def test_recording_decisions_and_row_go_together(roster):
    day = next(Recordings(folder=roster, own=roster.athlete("anna")).open()).on
    said = moved(roster, f"{NAME}.fit")
    fresh = open_roster(roster.path)
    assert fresh.athlete("anna").recordings() == ()
    assert sorted(p.name for p in fresh.athlete("anna").recordings_dir.iterdir()) == []
    [fit] = fresh.athlete("berta").recordings()
    assert fit.read_bytes() == DATA
    assert fresh.athlete("berta").decisions(fit, sha256_of(fit)).kind == "easy"
    assert (
        roster.path / "anna/diary.csv"
    ).read_text() == "date;recording;rpe;remarks;mood\n2026-10-09;;4;mine;\n"
    kept = (roster.path / "berta/diary.csv").read_text()
    assert kept == f'remarks,date,recording,rpe,mood\nrest,{day}\nhills,{day},{NAME},"3,5",good\n'
    assert next(Recordings(folder=fresh, own=fresh.athlete("berta")).open()).row.remarks == "hills"
    assert said == [
        f"{NAME}.fit of anna is berta/recordings/{NAME}.fit now, with its decisions and its diary row."
    ]


def test_a_name_that_is_taken_is_numbered_and_the_row_follows(roster):
    put(roster.path / "berta", f"{NAME}.fit", fit_data(wandering(seed=5), start=1_100_000_000))
    moved(roster)
    fresh = open_roster(roster.path)
    assert [p.stem for p in fresh.athlete("berta").recordings()] == [f"{NAME}-2", NAME]
    assert f",{NAME}-2," in (roster.path / "berta/diary.csv").read_text()


def test_a_row_that_does_not_name_the_recording_stays_unless_asked_for(roster):
    diary = roster.path / "anna/diary.csv"
    diary.write_text(diary.read_text().replace(NAME, ""))
    before = diary.read_bytes()
    said = moved(roster)
    assert diary.read_bytes() == before
    assert "anna's diary does not name the recording and stays" in said[1]


def test_with_row_takes_it_along(roster):
    diary = roster.path / "anna/diary.csv"
    diary.write_text(diary.read_text().replace(NAME, ""))
    moved(roster, with_row=True)
    assert "hills" not in diary.read_text()
    assert "hills" in (roster.path / "berta/diary.csv").read_text()


def test_edits_that_were_not_saved_go_along_and_open_ones_stop_it(roster):
    anna = roster.athlete("anna")
    fit = anna.recordings()[0]
    drafts = roster.path / ".coachlib/drafts"
    mine = Drafts(drafts / "anna", NAME, sha256_of(fit), None)
    decided = Decisions(fit_sha256=sha256_of(fit), kind="long")
    mine.keep(decided, rejected=(2,), based_on="x", kept_at=datetime(2026, 10, 4, tzinfo=UTC))
    before = everything(roster.path)
    with pytest.raises(RosterProblem, match="is open with changes that are not saved"):
        moved(roster)
    assert everything(roster.path) == before
    mine.release()
    moved(roster)
    left = Drafts(
        drafts / "berta",
        NAME,
        decided.fit_sha256,
        None,
    )
    assert left.left_behind().decisions.kind == "long"
    assert list((drafts / "anna").iterdir()) == []


def test_what_was_found_and_made_with_it_is_named(roster):
    anna = roster.athlete("anna")
    sha256 = sha256_of(anna.recordings()[0])
    (roster.path / "anna/athlete.toml").write_text(
        f'name = "Anna Example"\n[[threshold]]\nwhich = "first"\non = 2026-10-05\nhr_bpm = 150\ntests = ["{sha256}"]\n'
    )
    for week in ("2026-W40", "2026-W41"):
        made_from = {"inputs": {f"anna/recordings/{NAME}.fit": sha256}}
        page = Page(name=week, title="x", blocks=("<h1>Anna</h1>",), numbers={}, made_from=made_from)
        publish(page, anna, roster)
    said = " ".join(moved(roster))
    assert "anna's first threshold of 5 October 2026 was found with this recording" in said
    assert (
        "anna's pages hold this session: 2026-W40, 2026-W41. Make them anew before anybody gets them" in said
    )
    assert "--from 2026-W40 --to 2026-W41 --athlete anna berta --again" in said


@pytest.mark.parametrize(
    ("name", "why"),
    [("2026-10-03_run", r'no recording called "2026-10-03_run"; of that day there is 2026-10-03_treadmill'),
     ("2026-01-01_run", 'anna has no recording called "2026-01-01_run"$'),
     ("../berta/athlete.toml", "anna has no recording called")],
)  # fmt: skip
def test_what_is_not_there_is_told(roster, name, why):
    with pytest.raises(RosterProblem, match=why):
        moved(roster, name)


def test_the_same_session_with_the_other_is_refused(roster):
    put(roster.path / "berta", "other.fit", fit_data(wandering(seed=5)))
    before = everything(roster.path)
    with pytest.raises(RosterProblem, match=r"ran at the same time as other\.fit"):
        moved(roster)
    assert everything(roster.path) == before
    moved(roster, anyway=True)
    with pytest.raises(RosterProblem, match="lies with anna already"):
        move(roster, roster.athlete("anna"), NAME, roster.athlete("anna"))


@pytest.mark.parametrize("at", range(6))
def test_a_move_that_was_stopped_is_finished_by_the_same_command(roster, at, monkeypatch):
    before = everything(roster.path)
    left = [at]

    def stopping(call):
        def step(*arguments, **options):
            left[0] -= 1
            if left[0] < 0:
                raise FileProblem("no room")
            return call(*arguments, **options)

        return step

    with monkeypatch.context() as patch:
        for name in ("write_together", "write_bytes", "_hand_over_drafts", "_remove"):
            patch.setattr(moving, name, stopping(getattr(moving, name)))
        try:
            moved(roster)
        except FileProblem:
            now = everything(roster.path)
            assert next(data for name, data in now.items() if name.endswith(".fit")) == DATA
            assert any(b"hills" in data for data in now.values())
            patch.undo()
            if now != before or at == 0:
                moved(roster)
    found = everything(roster.path)
    assert sum(name.endswith(".fit") for name in found) == 1
    assert sum(data.count(b"hills") for data in found.values()) == 1
    assert b"hills" in found["berta/diary.csv"]
