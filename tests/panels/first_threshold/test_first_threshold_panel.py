"""The series of drift tests on the demo roster: what the page says, and what accepting writes."""

from datetime import date

import pytest

from coachlib.errors import TooLittleData
from coachlib.files.roster.folder import open_roster
from coachlib.jobs.sheets import PROTOCOL_FILE, save_protocol_sheet
from coachlib.panels.first_threshold.panel import first_threshold_panel


@pytest.fixture
def roster(demo_copy, tmp_path):
    return demo_copy(tmp_path / "roster")


@pytest.fixture
def panel(roster):
    panel = first_threshold_panel(roster, "ilva")
    yield panel
    assert panel.errors == []


def firsts(roster, slug="ilva"):
    return [t for t in open_roster(roster).athlete(slug).athlete().thresholds if t.which == "first"]


def test_the_still_page_says_the_estimate_the_tests_and_the_next_one(roster):
    page = first_threshold_panel(roster, "ilva", interactive=False).page
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
    panel.standing.value = next(v for _, v in panel.standing.options if v[0] == date(2026, 11, 8))
    panel.withdraw()
    (found,) = [t for t in firsts(roster) if t.on == date(2026, 11, 8)]
    assert found.withdrawn
    athlete = open_roster(roster).athlete("ilva").athlete()
    assert athlete.threshold_on("first", date(2026, 11, 20)).on < date(2026, 11, 8)


def test_a_value_outside_what_the_tests_allow_is_refused_in_words(roster, panel):
    panel.value.value = 120
    panel.accept_button.click()
    assert "lies outside what the tests allow (153 to 161" in panel.status.value
    assert len(firsts(roster)) == 2


def test_leaving_a_test_out_widens_the_interval(panel):
    whole = panel.shown.series.threshold
    panel.tests.value = tuple(name for name in panel.tests.value if not name.startswith("2026-11-07"))
    fewer = panel.shown.series.threshold
    assert fewer.width_bpm > whole.width_bpm


def test_one_end_is_offered_and_accepted_as_a_bound(roster):
    panel = first_threshold_panel(roster, "aldous")
    assert panel.value.disabled
    assert panel.accept_button.description.replace("\u00a0", " ").startswith("Accept at least 1")
    panel.accept()
    new = firsts(roster, "aldous")[-1]
    assert (new.bounded, new.sport, new.hr_high_bpm) == ("above", "walking", None)
    assert "Accepted: at least" in panel.status.value
    assert panel.errors == []


def test_acting_stands_beside_the_estimate_above_the_evidence(panel):
    top = panel.children[0]
    acting, estimate = top.children
    assert estimate is panel.estimate
    for part in (panel.accept_button, panel.value, panel.status, panel.sheet_button):
        assert part in acting.children
    assert "To accept" in panel.estimate.value
    assert "where one ends and the other begins is not sure yet" in panel.estimate.value
    assert "The tests, and which way each pulls" in panel.page.value


def test_another_criterion_moves_the_threshold(panel):
    before = panel.shown.proposal.threshold.hr_bpm
    panel.criterion.value = 3.0
    assert panel.shown.proposal.threshold.hr_bpm < before


def test_an_athlete_without_tests_is_told_so(roster):
    with pytest.raises(TooLittleData, match="test"):
        first_threshold_panel(roster, "wenna", interactive=False)


def test_the_folded_line_says_what_the_machine_can_be_set_to(panel):
    assert panel.grid.selected_index is None
    assert panel.grid.titles == (
        "The machine: treadmill, 0.8 to 18 km/h in steps of 0.1, 0 to 15 % in steps of 0.5",
    )
    assert "The settings are ones the treadmill has" in panel.page.value.replace("\u00a0", " ")


def test_another_step_changes_the_next_test_at_once_and_is_written_when_kept(roster, panel):
    before = (roster / "ilva/athlete.toml").read_text()
    panel.grid.numbers["speed_step_kmh"].value = 1.7
    planned = panel.shown.series.next_test.settings
    assert round(3.6 * planned.speed_mps, 6) in (7.6, 9.3, 11.0, 12.7)
    assert "in steps of 1.7, 0 to 15 %" in panel.grid.titles[0]
    assert panel.grid.answer.value.startswith(f"The next test: {3.6 * planned.speed_mps:.1f} km/h at ")
    assert (roster / "ilva/athlete.toml").read_text() == before
    panel.keep_button.click()
    assert "treadmill has 0.8 to 18 km/h in steps of 1.7" in panel.status.value.replace("\u00a0", " ")
    assert "treadmill has 0.8 to 18 km/h in steps of 1.7" in panel.grid.answer.value
    assert open_roster(roster).athlete("ilva").athlete().treadmill.speed_step_mps == pytest.approx(1.7 / 3.6)
    assert (roster / "ilva/athlete.toml").read_text() == before + "speed_step_kmh = 1.7\n"
    assert first_threshold_panel(roster, "ilva").grid.numbers["speed_step_kmh"].value == 1.7


def test_a_machine_that_cannot_be_is_refused_in_words_and_not_kept(roster, panel):
    before = (roster / "ilva/athlete.toml").read_text()
    page = panel.page.value
    panel.grid.numbers["speed_high_kmh"].value = 0.5
    assert "Not done: the treadmill cannot be like that: `speed_low_kmh` is 0.8" in panel.status.value
    panel.keep_button.click()
    assert "the lowest must lie below the highest" in panel.status.value
    assert "the lowest must lie below the highest" in panel.grid.answer.value
    assert panel.page.value == page
    assert (roster / "ilva/athlete.toml").read_text() == before


def test_a_machine_can_be_kept_before_the_first_test(roster):
    panel = first_threshold_panel(roster, "wenna")
    assert panel.grid.titles == ("The machine: treadmill, 1 to 14 km/h in steps of 0.5, no incline",)
    assert "no drift test yet" in panel.estimate.value
    panel.grid.numbers["speed_high_kmh"].value = 16
    panel.keep_button.click()
    assert panel.grid.answer.value == (
        "Kept: Wenna Castellow's treadmill has 1 to 16 km/h in steps of 0.5, no incline."
    )
    assert open_roster(roster).athlete("wenna").athlete().treadmill.speed_high_mps == pytest.approx(16 / 3.6)
    assert panel.errors == []


def test_before_the_first_test_an_estimate_from_elsewhere_is_accepted_with_its_source(roster):
    panel = first_threshold_panel(roster, "wenna")
    assert panel.elsewhere.selected_index == 0
    assert panel.accept_button.disabled
    assert panel.sheet_button.disabled
    assert panel.withdraw_button.disabled
    accept = panel.accept_estimate_button
    for numbers, source, on, told in (
        ("", "", None, "needs its numbers and the day"),
        ("148 142 155", "", date(2026, 11, 20), "where it comes from"),
        ("160 142 155", "laboratory", date(2026, 11, 20), "lies inside its interval"),
        ("14.8 14.2 15.5", "laboratory", date(2026, 11, 20), "a first threshold lies between"),
        ("easy", "laboratory", date(2026, 11, 20), "numbers a row"),
    ):
        panel.elsewhere.numbers.value, panel.elsewhere.source.value = numbers, source
        panel.elsewhere.day.value = on
        accept.click()
        assert told in panel.status.value
    assert firsts(roster, "wenna") == []
    panel.elsewhere.numbers.value = "148 142 155"
    accept.click()
    [new] = firsts(roster, "wenna")
    assert (new.hr_bpm, new.hr_low_bpm, new.hr_high_bpm) == (148, 142, 155)
    assert (new.method, new.sport, new.tests) == ("laboratory", "running", ())
    assert "Accepted: 148\N{NO-BREAK SPACE}bpm" in panel.status.value
    assert not panel.withdraw_button.disabled
    assert panel.errors == []


def test_an_estimate_above_the_second_threshold_is_refused(roster, panel):
    panel.elsewhere.numbers.value = "175 170 180"
    panel.elsewhere.source.value, panel.elsewhere.day.value = "a ramp", date(2026, 11, 24)
    before = firsts(roster)
    panel.accept_estimate_button.click()
    assert "withdraw the second threshold" in panel.status.value
    assert firsts(roster) == before


def test_each_kind_of_machine_shows_its_own_numbers(panel):
    assert len(panel.grid.numbers) == 6
    panel.machine.value = "power"
    assert list(panel.grid.numbers) == ["power_low_w", "power_high_w", "power_step_w"]
    panel.machine.value = "heart rate only"
    assert panel.grid.numbers == {}
    assert panel.grid.titles == ("The machine: none, heart rate only",)
    assert panel.shown.series.next_test.settings is None


def test_the_next_test_of_the_demo_lies_on_each_athletes_machine(roster):
    tens = first_threshold_panel(roster, "nadja").shown.series.next_test.settings
    assert tens.power_w % 10 == 0
    page = first_threshold_panel(roster, "nadja", interactive=False).page.replace("\u00a0", " ")
    assert "50 to 350 W in steps of 10" in page
    assert "easy days" in page
    assert "90 % interval is" in page


@pytest.mark.parametrize(
    ("slug", "said"),
    [
        ("ilva", "Your treadmill can be set so: 0.8 to 18 km/h in steps of 0.1, 0 to 15 % in steps of 0.5."),
        ("tobin", "Your ergometer can be set so: 30 to 500 W in steps of 1."),
    ],
)
def test_the_protocol_sheet_says_whose_settings_why_and_when(roster, slug, said):
    folder = open_roster(roster)
    page = save_protocol_sheet(folder, folder.athlete(slug)).read_text("utf-8").replace("\u00a0", " ")
    assert said in page
    assert "we know your first threshold within a span of" in page.casefold()
    assert "Leave 2 easy days after a test" in page


def test_a_machine_that_nobody_noted_is_called_a_usual_one(roster):
    profile = roster / "ilva/athlete.toml"
    profile.write_text(profile.read_text().partition("\n# the club's belt")[0])
    folder = open_roster(roster)
    page = save_protocol_sheet(folder, folder.athlete("ilva")).read_text("utf-8").replace("\u00a0", " ")
    assert "This is for a usual treadmill: 3 to 20 km/h in steps of 0.1, 0 to 12 % in steps of 1." in page
    assert "Nothing is noted about the athlete&#x27;s own treadmill" in (
        first_threshold_panel(roster, "ilva", interactive=False).page.replace("\u00a0", " ")
    )


def test_the_sheet_says_when_the_belt_ends_before_the_aim(roster):
    profile = roster / "ilva/athlete.toml"
    profile.write_text(
        profile.read_text()
        .replace("speed_high_kmh = 18", "speed_high_kmh = 9")
        .replace("grade_high_pct = 15", "grade_high_pct = 0")
    )
    folder = open_roster(roster)
    page = save_protocol_sheet(folder, folder.athlete("ilva")).read_text("utf-8").replace("&#x27;", "'")
    assert "the machine's range does not reach further" in page
    assert "9.0 km/h at 0 %" in page.replace("\u00a0", " ")


@pytest.mark.parametrize("slug", ["ilva", "tobin"])
def test_the_protocol_sheet_asks_for_a_settled_hour_and_gives_the_cautions(roster, slug):
    folder = open_roster(roster)
    path = save_protocol_sheet(folder, folder.athlete(slug))
    assert path == folder.path / slug / "reports" / PROTOCOL_FILE
    page = path.read_text("utf-8").replace("&#x27;", "'")
    for said in (
        "15 minutes at the test's own",
        "60 minutes more",
        "do not talk, not on the phone either",
        "physician",
        "fan on",
    ):
        assert said in page.replace("\u00a0", " ")
    assert "<script" not in page


def test_who_has_not_run_as_long_is_asked_for_less(roster):
    folder = open_roster(roster)
    page = save_protocol_sheet(folder, folder.athlete("wenna")).read_text("utf-8").replace("\u00a0", " ")
    assert "Then 15 minutes in which you find" in page
    assert "Then 30 minutes more" in page
    assert "60 minutes more" not in page
    assert "physician" in page
