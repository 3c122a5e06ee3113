"""A roster as version 0.1.0 wrote it is read as it was meant, and becomes the present form only where it is saved."""

import filecmp
import shutil
from datetime import date, time
from pathlib import Path

import pytest

from coachlib.errors import CoachError, DecisionProblem, RosterProblem
from coachlib.files.roster.athlete_folder import decisions_path
from coachlib.files.roster.folder import open_roster
from coachlib.files.store.store import sha256_of
from coachlib.records.athlete import Medicine, Threshold, TypedTest
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window

FROZEN = Path(__file__).parents[2] / "rosters_of_old" / "0.1.0"


@pytest.fixture
def roster(tmp_path):
    return open_roster(shutil.copytree(FROZEN, tmp_path / "roster"))


@pytest.fixture
def mira(roster):
    return roster.athlete("mira")


@pytest.fixture
def fit(mira):
    return mira.recordings()[0]


def test_its_settings_are_read(roster):
    found = roster.settings
    assert (found.week_starts, found.criterion_pct, found.stale_after_weeks) == ("sunday", 4.5, 9)
    assert found.call_sheet.silent_days == 10
    assert (found.climate, found.day_first) == (None, None)


def test_its_profile_is_read(mira):
    athlete = mira.athlete()
    first, second = athlete.thresholds
    assert (first.speed_mps, first.grade, first.withdrawn) == (pytest.approx(10.4 / 3.6), 0.04, True)
    assert athlete.threshold_on("second", date(2026, 9, 1), "rowing") == second
    assert (second.sport, second.bounded, second.power_w) == (None, None, 260)
    assert athlete.typed_tests == (
        TypedTest(
            on=date(2026, 8, 30),
            first_half_bpm=143,
            second_half_bpm=146.5,
            minutes=60,
            speed_mps=2.5,
            grade=0.05,
            temperature_c=21,
        ),
    )
    assert [b.kind for b in athlete.blocks] == ["ill", "altitude"]
    assert athlete.references[0].because == "new watch"
    assert athlete.treadmill.grade_high == 0.15
    assert athlete.ergometer.power_high_w == 400
    assert not athlete.medicine_on(date(2026, 9, 1))
    assert athlete.units == "metric"


def test_its_diary_and_note_are_read(mira):
    read = mira.read_diary()
    assert read.problems == ()
    assert (read.rows[0].start, read.rows[0].rpe, read.rows[0].remarks) == (
        time(7, 30),
        3.5,
        "easy, not a word",
    )
    assert mira.note("2026-W41").words == "Well *done*."


def test_its_decisions_are_read(mira, fit):
    sha = sha256_of(fit)
    assert mira.decisions(fit, sha) == Decisions(
        fit_sha256=sha,
        kind="drift test",
        part=0,
        windows=(Window(start_s=30, stop_s=110, note="as planned"),),
        exclusions=(Exclusion(start_s=50, stop_s=55, reason="talking"),),
        stages=(Stage(start_s=10, stop_s=120, speed_mps=10 / 3.6, grade=0.06, lactate_mmol_l=1.4),),
    )


def test_reading_and_saving_the_same_changes_nothing(roster, mira, fit):
    decided = mira.decisions(fit, sha256_of(fit))
    mira.save_decisions(fit, decided, based_on=mira.decisions_seen(fit))
    mira.choose_zones(mira.athlete().zones)
    names = [p.relative_to(FROZEN) for p in FROZEN.rglob("*") if p.is_file()]
    assert filecmp.cmpfiles(FROZEN, roster.path, names, shallow=False)[0] == names


def test_its_decisions_become_the_present_form_when_they_are_saved(mira, fit):
    former = decisions_path(fit).read_text()
    decided = mira.decisions(fit, sha256_of(fit)).model_copy(update={"kind": "easy"})
    mira.save_decisions(fit, decided, based_on=mira.decisions_seen(fit))
    expected = former.replace("schema = 1", "schema = 2").replace('"drift test"', '"easy"')
    assert decisions_path(fit).read_text() == f"{expected}\n[end]\nentries = 3\n"
    assert mira.decisions(fit, sha256_of(fit)) == decided


def test_what_is_new_is_written_beside_what_was_there(mira):
    path = mira.path / "athlete.toml"
    before = path.read_text()
    mira.accept_threshold(
        Threshold(
            which="first", on="2026-11-01", hr_bpm=150, hr_low_bpm=150, bounded="above", sport="running"
        )
    )
    after = path.read_text()
    assert "# the relay" in after
    assert (
        after.replace(
            '\n[[threshold]]\nwhich = "first"\non = 2026-11-01\nsport = "running"\nhr_bpm = 150\nhr_low_bpm = 150\n'
            'bounded = "above"\n',
            "",
        )
        == before
    )
    assert mira.athlete().accepted_on("first", date(2026, 11, 2), "running").bounded == "above"
    assert Medicine(on="2026-01-01", change="begun") not in mira.athlete().medicines


@pytest.mark.parametrize("file", ["roster.toml", "mira/athlete.toml"])
def test_a_newer_form_is_refused_in_words(tmp_path, file):
    folder = Path(shutil.copytree(FROZEN, tmp_path / "roster"))
    path = folder / file
    path.write_text(path.read_text().replace("schema = 1", "schema = 2"))
    with pytest.raises(
        RosterProblem, match=r"key `schema` is 2, and this version reads 1; install the version of"
    ):
        open_roster(folder).athlete("mira").athlete()


def test_newer_decisions_are_refused_in_words(mira, fit):
    path = decisions_path(fit)
    path.write_text(path.read_text().replace("schema = 1", "schema = 3"))
    with pytest.raises(
        DecisionProblem, match=r"key `schema` is 3, and this version reads 1 and 2; install the"
    ):
        mira.decisions(fit, sha256_of(fit))
    with pytest.raises(CoachError, match="this version reads 1 and 2"):
        mira.save_decisions(fit, Decisions(fit_sha256=sha256_of(fit)), based_on=mira.decisions_seen(fit))
