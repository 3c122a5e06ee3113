"""The series of drift tests on the demo roster: what the page says, and what accepting writes."""

import shutil
from datetime import date
from pathlib import Path

import pytest

from coachlib.errors import TooLittleData
from coachlib.files.folder import open_roster
from coachlib.panels.thresholds import thresholds_panel
from coachlib.sheets import PROTOCOL_FILE, save_protocol_sheet

DEMO = Path(__file__).parent.parent.parent / "athletes_demo"


@pytest.fixture
def roster(tmp_path):
    folder = tmp_path / "roster"
    shutil.copytree(DEMO, folder, ignore=shutil.ignore_patterns("reports", ".coachlib"))
    return folder


@pytest.fixture
def panel(roster):
    panel = thresholds_panel(roster, "ilva")
    yield panel
    assert panel.errors == []


def firsts(roster, slug="ilva"):
    return [t for t in open_roster(roster).athlete(slug).athlete().thresholds if t.which == "first"]


def test_the_still_page_says_the_estimate_the_tests_and_the_next_one(roster):
    page = thresholds_panel(roster, "ilva", interactive=False).page
    for said in ("The tests, and which way each pulls", "Were the tests alike?", "The next test", "typed in"):
        assert said in page
    assert "2026-11-21_treadmill is a drift test by the diary, but nothing is decided about it yet" in page


def test_accepting_writes_the_threshold_with_its_tests_and_keeps_comments(roster, panel):
    before = (roster / "ilva/athlete.toml").read_text()
    panel.day.value = date(2026, 11, 23)
    panel.accept()
    new = firsts(roster)[-1]
    assert new.on == date(2026, 11, 23)
    assert new.hr_bpm == panel.value.value
    assert new.hr_low_bpm < new.hr_bpm < new.hr_high_bpm
    assert len(new.tests) == 5
    after = (roster / "ilva/athlete.toml").read_text()
    comments = [line for line in before.splitlines() if line.strip().startswith("#")]
    assert comments
    assert all(line in after for line in comments)
    assert "Accepted:" in panel.status.value


def test_a_withdrawn_threshold_stays_for_the_record_and_no_longer_counts(roster, panel):
    panel.standing.value = date(2026, 11, 8)
    panel.withdraw()
    (found,) = [t for t in firsts(roster) if t.on == date(2026, 11, 8)]
    assert found.withdrawn
    athlete = open_roster(roster).athlete("ilva").athlete()
    assert athlete.threshold_on("first", date(2026, 11, 20)).on < date(2026, 11, 8)


def test_a_value_outside_what_the_tests_allow_is_refused_in_words(roster, panel):
    panel.value.value = 120
    panel.accept_button.click()
    assert "lies outside what the tests allow (160 to 167" in panel.status.value
    assert len(firsts(roster)) == 2


def test_leaving_a_test_out_widens_the_interval(panel):
    whole = panel.shown.proposal
    panel.tests.value = tuple(name for name in panel.tests.value if not name.startswith("2026-11-07"))
    fewer = panel.shown.proposal
    assert fewer.hr_high_bpm is None or (
        fewer.hr_high_bpm - fewer.hr_low_bpm > whole.hr_high_bpm - whole.hr_low_bpm
    )


def test_another_criterion_moves_the_threshold(panel):
    before = panel.shown.proposal.hr_bpm
    panel.criterion.value = 3.0
    assert panel.shown.proposal.hr_bpm < before


def test_an_athlete_without_tests_is_told_so(roster):
    with pytest.raises(TooLittleData, match="test"):
        thresholds_panel(roster, "wenna", interactive=False)


@pytest.mark.parametrize("slug", ["ilva", "tobin", "wenna"])
def test_the_protocol_sheet_asks_for_a_settled_hour_and_gives_the_cautions(roster, slug):
    folder = open_roster(roster)
    path = save_protocol_sheet(folder, folder.athlete(slug))
    assert path == folder.path / slug / "reports" / PROTOCOL_FILE
    page = path.read_text("utf-8").replace("&#x27;", "'")
    for said in (
        "15 minutes at the test's own",
        "60 minutes more",
        "do not talk and do not sing",
        "physician",
        "fan on",
    ):
        assert said in page.replace("\u00a0", " ")
    assert "<script" not in page
