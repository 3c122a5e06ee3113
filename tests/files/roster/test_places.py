"""Nothing outside is read or written, whatever links lead there; folders are listed once; copies are recognised."""

import os
from datetime import date
from pathlib import Path

import pytest
from rosters import fit_data, make_roster, put, wandering

from coachlib.errors import RosterProblem
from coachlib.files.roster.athlete_folder import decisions_path
from coachlib.files.roster.folder import open_roster
from coachlib.files.roster.places import copied_from, outside_links
from coachlib.files.store.store import sha256_of
from coachlib.records.athlete import Reference, Settled, Threshold
from coachlib.records.decisions import Decisions

pytestmark = pytest.mark.skipif(os.name == "nt", reason="links need rights on Windows")


@pytest.fixture
def folder(tmp_path):
    return make_roster(tmp_path / "roster", "mira", "tom")


@pytest.fixture
def outside(tmp_path):
    place = tmp_path / "outside"
    (place / "recordings").mkdir(parents=True)
    (place / "athlete.toml").write_text('name = "Somebody Else"\n')
    (place / "diary.csv").write_text("date,remarks\n2026-10-05,secret\n")
    put(place, "2026-10-03_running.fit", fit_data(wandering(60)))
    return place


def test_a_roster_without_links_has_none_outside(folder):
    (folder / "mira" / "recordings" / "again.fit").symlink_to(folder / "mira" / "recordings")
    assert outside_links(folder) == ()


def test_links_that_leave_are_named_and_not_followed(folder, outside):
    (folder / "guest").symlink_to(outside)
    (folder / "mira" / "diary.csv").symlink_to(outside / "diary.csv")
    (folder / "mira" / "recordings" / "a.fit").symlink_to(outside / "recordings" / "2026-10-03_running.fit")
    (folder / "tom" / "recordings").rmdir()
    (folder / "tom" / "recordings").symlink_to(outside / "recordings")
    found = [str(path.relative_to(folder)) for path in outside_links(folder)]
    assert found == ["guest", "mira/diary.csv", "mira/recordings/a.fit", "tom/recordings"]
    roster = open_roster(folder)
    assert roster.athletes() == ("mira", "tom")
    assert roster.athlete("mira").recordings() == roster.athlete("tom").recordings() == ()
    with pytest.raises(RosterProblem, match=r"diary.csv of mira is a link that leads out of its folder"):
        roster.athlete("mira").read_diary()


def test_a_link_to_another_athlete_is_one_that_leaves(folder):
    (folder / "tom" / "diary.csv").write_text("date,remarks\n2026-10-05,secret\n")
    (folder / "mira" / "diary.csv").symlink_to(Path("..") / "tom" / "diary.csv")
    (folder / "alias").symlink_to("mira")
    assert [p.name for p in outside_links(folder)] == ["alias", "diary.csv"]
    assert open_roster(folder).athletes() == ("mira", "tom")
    with pytest.raises(RosterProblem, match="put the file itself there"):
        open_roster(folder).athlete("mira").read_diary()


def test_links_in_a_circle_and_into_nothing_are_no_trouble(folder):
    (folder / "mira" / "round").symlink_to(folder / "mira" / "round")
    (folder / "mira" / "diary.csv").symlink_to(folder / "nowhere" / "diary.csv")
    assert [p.name for p in outside_links(folder)] == ["diary.csv"]
    assert open_roster(folder).athletes() == ("mira", "tom")


def test_the_rosters_own_settings_are_no_link_out(folder, outside):
    (outside / "roster.toml").write_text('name = "Other"\n')
    (folder / "roster.toml").unlink()
    (folder / "roster.toml").symlink_to(outside / "roster.toml")
    assert [p.name for p in outside_links(folder)] == ["roster.toml"]
    with pytest.raises(RosterProblem, match=r"roster.toml is a link that leads out of its folder"):
        open_roster(folder)


def test_a_roster_reached_by_a_link_is_no_link_out(folder, tmp_path):
    (tmp_path / "shortcut").symlink_to(folder)
    assert outside_links(tmp_path / "shortcut") == ()
    assert open_roster(tmp_path / "shortcut").athlete("mira").athlete().name == "Mira Example"


def test_decisions_are_never_written_through_a_link(folder, outside):
    mira = open_roster(folder).athlete("mira")
    fit = put(mira.path, "2026-10-03_running.fit", fit_data(wandering(60)))
    decisions_path(fit).symlink_to(outside / "new.toml")
    with pytest.raises(RosterProblem, match="is not followed"):
        mira.save_decisions(fit, Decisions(fit_sha256=sha256_of(fit)), based_on=None)
    assert not (outside / "new.toml").exists()


def test_folders_are_listed_and_the_diary_read_once_until_fresh(folder, monkeypatch):
    roster = open_roster(folder)
    counted = []
    original = Path.iterdir

    def iterdir(path):
        counted.append(path)
        return original(path)

    monkeypatch.setattr(Path, "iterdir", iterdir)
    for _ in range(3):
        for slug in roster.athletes():
            roster.athlete(slug).recordings()
            roster.athlete(slug).read_diary()
    assert len(counted) == len(set(counted)) == 3
    put(folder / "mira", "2026-10-03_running.fit", b"")
    (folder / "mira" / "diary.csv").write_text("date\n2026-10-05\n")
    (folder / "ann").mkdir()
    (folder / "ann" / "athlete.toml").write_text('name = "Ann"\n')
    mira = roster.athlete("mira")
    assert (len(mira.recordings()), len(mira.read_diary().rows)) == (0, 0)
    assert (len(mira.fresh().recordings()), len(mira.fresh().read_diary().rows)) == (1, 1)
    assert roster.fresh().athletes() == ("ann", "mira", "tom")
    assert len(roster.fresh().athlete("mira").recordings()) == 1
    assert roster.fresh().store is roster.store


def test_a_folder_that_may_not_be_listed_is_told(folder, monkeypatch):
    def refused(path):
        raise PermissionError(13, "Permission denied")

    roster = open_roster(folder)
    mira = roster.athlete("mira")
    monkeypatch.setattr(Path, "iterdir", refused)
    with pytest.raises(RosterProblem, match=r"recordings cannot be listed: Permission denied. See to its"):
        mira.recordings()
    with pytest.raises(RosterProblem, match="cannot be listed"):
        roster.fresh().athletes()


@pytest.mark.parametrize(
    ("name", "original"),
    [
        ("athlete (conflicted copy 2026-10-05).toml", "athlete.toml"),
        ("athlete-PC.toml", "athlete.toml"),
        ("athlete 2.toml", "athlete.toml"),
        ("Diary.csv", None),
        ("diary (1).CSV", "diary.csv"),
        ("2026-10-03_run.decisions (Mira's copy).toml", "2026-10-03_run.decisions.toml"),
        ("2026-10-03_run (1).decisions.toml", "2026-10-03_run.decisions.toml"),
        ("2026-W41~1.md", "2026-W41.md"),
        ("athlete.toml", None),
        ("athletes.toml", None),
        ("holiday.toml", None),
    ],
)
def test_copies_of_cloud_drives_are_recognised(name, original):
    names = ["athlete.toml", "diary.csv", "2026-10-03_run.decisions.toml", "2026-W41.md"]
    assert copied_from(name, names) == original


def test_a_copy_beside_a_file_is_never_read_for_it(folder):
    (folder / "mira" / "athlete (1).toml").write_text('name = "Old"\n')
    (folder / "mira" / "diary (1).csv").write_text("date\n2026-10-05\n")
    (folder / "mira" / "recordings" / "2026-10-03_run (1).decisions.toml").write_text("schema = 1\n")
    mira = open_roster(folder).athlete("mira")
    assert mira.athlete().name == "Mira Example"
    assert (mira.read_diary().rows, mira.recordings()) == ((), ())


def test_of_two_sports_thresholds_of_a_day_one_is_withdrawn(folder):
    mira = open_roster(folder).athlete("mira")
    for sport in ("running", "rowing"):
        mira.accept_threshold(Threshold(which="first", on="2026-10-05", hr_bpm=150, sport=sport))
    with pytest.raises(
        RosterProblem, match="2 first thresholds accepted on 2026-10-05, for running and rowing; say"
    ):
        mira.withdraw_threshold("first", date(2026, 10, 5))
    mira.withdraw_threshold("first", date(2026, 10, 5), sport="rowing")
    assert [(t.sport, t.withdrawn) for t in mira.athlete().thresholds] == [
        ("running", False),
        ("rowing", True),
    ]


def test_references_and_settled_remarks_are_kept_once(folder):
    mira = open_roster(folder).athlete("mira")
    for _ in range(2):
        mira.keep_reference(Reference(start_on="2026-03-02", hr_bpm=150, because="first weeks"))
        mira.settle(Settled(on="2026-10-14", remark_on="2026-10-12", by="Maren"))
    athlete = mira.athlete()
    assert (len(athlete.references), len(athlete.settled)) == (1, 1)
    assert athlete.is_settled(date(2026, 10, 12), date(2026, 10, 14))
