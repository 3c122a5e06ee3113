"""The second threshold on the demo roster: methods side by side, and what accepting writes."""

import shutil
from datetime import date
from pathlib import Path

import pytest

from coachlib.errors import BadArgument
from coachlib.files.folder import open_roster
from coachlib.panels.second_threshold import second_threshold, second_threshold_panel

DEMO = Path(__file__).parent.parent.parent / "athletes_demo"
#: A constructed step test, not a published one; its answers are worked out by other means in
#: tests/measures/test_lactate.py.
STEPS = "8 1.1 118; 9 1.0 127; 10 1.2 136; 11 1.5 146; 12 2.1 155; 13 3.1 164; 14 4.9 172; 15 7.8 180"
TRIALS = "1200 232; 2400 502; 3600 770"


@pytest.fixture
def roster(tmp_path):
    folder = tmp_path / "roster"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("reports", ".coachlib"))
    return folder


def test_every_method_stands_beside_the_others(roster):
    folder = open_roster(roster)
    found = second_threshold(folder, folder.athlete("ilva"), steps=STEPS, trials=TRIALS)
    assert {round(t.load, 4) for t in found.lactate.thresholds} >= {11.8333, 13.5}
    assert [round(c.critical, 4) for c in found.critical] == [4.4609, 4.4556, 4.4688]
    names = [c.name for c in found.candidates]
    assert names[0] == "time trial of 11 Oct"
    assert sum(name.startswith("step test") for name in names) == 5


def test_the_time_trials_interval_is_the_published_error_around_it(roster):
    folder = open_roster(roster)
    trial = second_threshold(folder, folder.athlete("ilva")).candidates[0].threshold
    # McGehee, Tanner & Houmard 2005: standard error 8.0 bpm; t on 25 degrees of freedom at 90 % is 1.708
    assert trial.hr_high_bpm - trial.hr_bpm == pytest.approx(1.708 * 8.0, abs=1)
    assert len(trial.tests) == 1


def test_accepting_writes_the_choice_and_its_recording(roster):
    panel = second_threshold_panel(roster, "ilva")
    panel.day.value = date(2026, 11, 23)
    panel.accept_button.click()
    assert panel.errors == []
    assert "Accepted:" in panel.status.value
    new = open_roster(roster).athlete("ilva").athlete().threshold_on("second", date(2026, 11, 24))
    assert new.on == date(2026, 11, 23)
    assert new.tests == panel.found.candidates[0].threshold.tests


def test_what_cannot_be_read_is_said_and_nothing_else_breaks(roster):
    panel = second_threshold_panel(roster, "ilva")
    panel.steps.value = "8 1.1; 9 1.0"
    assert "Not done: 3 numbers a row are needed" in panel.status.value
    panel.steps.value = STEPS
    assert panel.found is not None
    assert panel.errors == []
    folder = open_roster(roster)
    with pytest.raises(BadArgument, match="2 numbers a row are needed"):
        second_threshold(folder, folder.athlete("ilva"), trials="1200")


def test_an_athlete_without_trials_is_told_what_to_do(roster):
    page = second_threshold_panel(roster, "wenna", interactive=False).page
    assert "do a 30-minute time trial, or type in a step test" in page
