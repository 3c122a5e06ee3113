"""The second threshold on the demo roster: methods side by side, and what accepting writes."""

import hashlib
import re
import shutil
from datetime import date

import pytest

from coachlib.errors import BadArgument
from coachlib.files.roster.folder import open_roster
from coachlib.panels.second_threshold.page import second_threshold
from coachlib.panels.second_threshold.panel import second_threshold_panel
from coachlib.records.athlete import Threshold
from coachlib.report.second_threshold.view import name

#: A constructed step test, not a published one; its answers are worked out by other means in
#: tests/measures/test_lactate.py.
STEPS = "8 1.1 118; 9 1.0 127; 10 1.2 136; 11 1.5 146; 12 2.1 155; 13 3.1 164; 14 4.9 172; 15 7.8 180"
TRIALS = "1200 232; 2400 502; 3600 770"


@pytest.fixture(scope="module")
def read_once(tmp_path_factory, demo_copy):
    """The demo with its recordings decoded, which takes longest."""
    folder = demo_copy(tmp_path_factory.mktemp("read") / "roster")
    opened = open_roster(folder)
    for slug in opened.athletes():
        second_threshold(opened, opened.athlete(slug))
    return folder


@pytest.fixture
def roster(read_once, tmp_path):
    return shutil.copytree(read_once, tmp_path / "roster")


def test_every_method_stands_beside_the_others(roster):
    folder = open_roster(roster)
    found = second_threshold(folder, folder.athlete("ilva"), steps=STEPS, trials=TRIALS)
    assert {round(t.load, 4) for t in found.steps.lactate.thresholds} >= {11.8333, 13.5}
    assert [round(c.critical, 4) for c in found.critical] == [4.4609, 4.4556, 4.4688]
    names = [name(c) for c in found.candidates]
    assert names[0] == "time trial of 11 October 2026"
    assert sum(said.startswith("step test") for said in names) == 5


def test_the_time_trials_interval_is_the_published_error_around_it(roster):
    folder = open_roster(roster)
    trial = second_threshold(folder, folder.athlete("ilva")).candidates[0]
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
    assert new.tests == panel.found.candidates[0].tests
    text = (roster / "ilva" / "athlete.toml").read_text(encoding="utf-8")
    assert "speed_kmh = 13.2\n" in text.partition("on = 2026-11-23")[2]  # in tenths


def test_what_cannot_be_read_is_said_and_nothing_else_breaks(roster):
    panel = second_threshold_panel(roster, "ilva")
    panel.steps.value = "8 1.1; 9 1.0"
    assert "Not done: 3 numbers a row are needed" in panel.status.value
    assert panel.choice.options == ()
    panel.accept_button.click()
    assert "there is no value to accept" in panel.status.value
    panel.steps.value = STEPS
    assert panel.found is not None
    assert panel.errors == []
    folder = open_roster(roster)
    with pytest.raises(BadArgument, match="2 numbers a row are needed"):
        second_threshold(folder, folder.athlete("ilva"), trials="1200")


def test_an_athlete_without_trials_is_told_what_to_do(roster):
    page = second_threshold_panel(roster, "wenna", interactive=False).page
    assert "do a 30-minute time trial, or a step test with lactate" in page


def test_the_page_sorts_the_methods_by_threshold_and_keeps_versions_small(roster):
    page = second_threshold_panel(roster, "ilva", steps=STEPS, trials=TRIALS, interactive=False).page
    body, how = page.split("How we know")
    second, first = body.split("Usually near the second threshold")[1].split(
        "Usually near the first threshold"
    )
    assert "modified Dmax" in second
    assert "lactate 2 mmol/l" not in second
    assert "lactate 2 mmol/l" in first.split("</table>")[0]
    for version in ("Dmax 1", "mmol/l 1", "-like"):
        assert version not in body
    assert "lactate, modified Dmax 1" in how


def test_the_missing_form_of_critical_speed_is_explained_and_comes_with_a_fourth_trial(roster):
    three = second_threshold_panel(roster, "ilva", trials=TRIALS, interactive=False).page
    assert (
        "Three parameters: this form of critical speed needs 4 trials of different length; found 3." in three
    )
    four = second_threshold_panel(roster, "ilva", trials=f"{TRIALS}; 800 142", interactive=False).page
    assert "Forms that are missing" not in four
    assert "unstable" in four


def test_power_trials_are_typed_as_watts(roster):
    folder = open_roster(roster)
    # exactly 200 W and 15 kJ: 250 W for 300 s, 225 W for 600 s, 220 W for 750 s
    typed = "250 300; 225 600; 220 750"
    found = second_threshold(folder, folder.athlete("ilva"), typed_unit="W", trials=typed)
    assert found.unit == "W"
    assert [round(c.critical, 3) for c in found.critical] == [200.0] * 3
    assert [round(c.reserve) for c in found.critical] == [15000] * 3


def test_the_gap_between_the_thresholds_stands_on_the_page(roster):
    page = second_threshold_panel(roster, "tobin", interactive=False).page
    thresholds = open_roster(roster).athlete("tobin").athlete().thresholds
    first, second = (next(t.hr_bpm for t in thresholds if t.which == w) for w in ("first", "second"))
    page = page.replace("\u00a0", " ")
    assert f"lies {second - first:.0f} bpm ({100 * (second - first) / first:.0f} %) above the first" in page


def test_a_step_test_has_no_day_of_its_own_and_keeps_its_stages_in_the_note(roster):
    panel = second_threshold_panel(roster, "ilva", steps=STEPS)
    panel.choice.value = 5
    assert panel.day.value is None
    panel.accept_button.click()
    assert "no day from which it holds" in panel.status.value
    panel.day.value = date(2026, 11, 23)
    panel.accept_button.click()
    new = open_roster(roster).athlete("ilva").athlete().threshold_on("second", date(2026, 11, 24))
    assert new.method == "lactate, lactate 4 mmol/l 1"
    assert STEPS in new.note
    assert panel.errors == []


def test_a_recorded_step_test_counts_with_its_heart_rates_until_one_is_typed_in(roster):
    path = roster / "nadja" / "recordings" / "2026-10-28_rowing.decisions.toml"
    lactate = iter((1.2, 1.1, 1.3, 1.7, 2.3, 3.0, 4.1, 5.6, 7.4, 9.5))
    text = path.read_text(encoding="utf-8").replace('kind = "ramp"', 'kind = "step test"')
    text = re.sub(r"power_w = (\S+)", lambda m: f"{m[0]}\nlactate_mmol_l = {next(lactate)}", text)
    path.write_text(text, encoding="utf-8")
    folder = open_roster(roster)
    found = second_threshold(folder, folder.athlete("nadja"))
    assert (found.steps.on, found.steps.unit) == (date(2026, 10, 28), "W")
    [at_four] = [c for c in found.candidates if "4 mmol/l" in name(c)]
    # 3.0 mmol/l in the sixth stage, 4.1 in the seventh: nine tenths of the way between their powers
    powers = [float(p) for p in re.findall(r"power_w = (\S+)", text)]
    assert at_four.power_w == pytest.approx(round(powers[5] + (powers[6] - powers[5]) * 1.0 / 1.1))
    assert at_four.on == date(2026, 10, 29)
    assert at_four.note == ""
    [checksum] = at_four.tests
    assert checksum == hashlib.sha256(path.with_name("2026-10-28_rowing.fit").read_bytes()).hexdigest()
    page = second_threshold_panel(roster, "nadja", interactive=False).page
    assert "Lactate step test, 28 October 2026" in page.replace("\N{NO-BREAK SPACE}", " ")
    typed = second_threshold(folder, folder.athlete("nadja"), steps=STEPS)
    assert typed.steps.on is None


def test_a_recorded_step_test_that_cannot_be_used_is_said(roster):
    path = roster / "nadja" / "recordings" / "2026-10-28_rowing.decisions.toml"
    text = path.read_text(encoding="utf-8").replace('kind = "ramp"', 'kind = "step test"')
    text = re.sub(r"power_w = (\S+)", r"power_w = \1\nlactate_mmol_l = 1.5", text, count=1)
    path.write_text(text, encoding="utf-8")
    folder = open_roster(roster)
    found = second_threshold(folder, folder.athlete("nadja"))
    assert found.steps is None
    assert [(c.name, c["on"]) for c in found.left_out] == [("step test left out", date(2026, 10, 28))]


def test_a_value_not_above_the_first_threshold_is_refused_in_words(roster):
    panel = second_threshold_panel(roster, "ilva", steps=STEPS)
    panel.choice.value = 1
    panel.day.value = date(2026, 11, 23)
    panel.accept_button.click()
    said, page = (w.value.replace("\u00a0", " ") for w in (panel.status, panel.page))
    told = "the second threshold, 157 bpm, is not above the first, 157 bpm: both cannot hold"
    assert told in said
    assert "both cannot hold" in page
    assert told[4:] in panel.doubts.value.replace("\u00a0", " ")
    assert panel.errors == []


def test_a_withdrawn_second_threshold_stays_for_the_record(roster):
    panel = second_threshold_panel(roster, "ilva")
    panel.withdraw_button.click()
    assert "Withdrawn: the second threshold of 12 October 2026" in panel.status.value
    (found,) = [t for t in open_roster(roster).athlete("ilva").athlete().thresholds if t.which == "second"]
    assert found.withdrawn
    panel.withdraw_button.click()
    assert "no second threshold is accepted" in panel.status.value
    assert panel.errors == []


def test_a_stage_without_a_reading_is_a_dash(roster):
    folder = open_roster(roster)
    steps = STEPS.replace("9 1.0 127", "9 - -")
    found = second_threshold(folder, folder.athlete("ilva"), steps=steps)
    assert (
        round(next(t.load for t in found.steps.lactate.thresholds if t.method.startswith("lactate 4")), 4)
        == 13.5
    )


@pytest.mark.parametrize("slug", ["wenna", "aldous"])
def test_an_athlete_without_trials_can_be_given_typed_steps_and_an_estimate(roster, slug):
    panel = second_threshold_panel(roster, slug)
    assert panel.typing.selected_index == 0  # what can be done here lies open
    panel.steps.value = STEPS
    assert panel.errors == []
    assert "program is wrong" not in panel.status.value
    assert len(panel.choice.options) == 5
    assert panel.day.value is None
    panel.steps.value = ""
    panel.estimate.value = "172 168 176 13.5"
    assert "needs where it comes from" in panel.status.value
    panel.source.value = "laboratory, ramp of 12 September"
    panel.day.value = date(2026, 9, 13)
    panel.accept_button.click()
    assert panel.errors == []
    assert "Accepted: 172 bpm (168 to 176) at 13.5 km/h" in panel.status.value.replace("\u00a0", " ")
    new = open_roster(roster).athlete(slug).athlete().accepted_on("second", date(2026, 9, 13))
    assert new.method == "laboratory, ramp of 12 September"
    assert new.speed_mps == pytest.approx(13.5 / 3.6)


@pytest.mark.parametrize(
    ("estimate", "said"),
    [
        ("172", "3 or 4 numbers a row are needed"),
        ("172 174 180", "lies inside its interval"),
        ("172 - 180", "one estimate is needed"),
        ("17 16 18", "between 60 and 230 bpm"),
        ("172 168 176; 170 160 180", "one estimate is needed"),
        ("172 168 176 900", "cannot be kept"),
    ],
)
def test_an_estimate_that_cannot_be_is_refused_in_words(roster, estimate, said):
    panel = second_threshold_panel(roster, "ilva")
    panel.source.value = "laboratory"
    panel.estimate.value = estimate
    if panel.found is not None:  # it can be read, so it can be tried
        panel.day.value = date(2026, 11, 25)
        panel.accept_button.click()
    assert panel.errors == []
    assert said in panel.status.value.replace("\u00a0", " ")


def test_a_heart_rate_nobody_has_breaks_no_page(roster):
    panel = second_threshold_panel(roster, "wenna", steps=STEPS.replace(" 172", " 1720"))
    assert panel.errors == []
    panel.choice.value = len(panel.choice.options) - 1
    panel.day.value = date(2026, 11, 23)
    panel.accept_button.click()
    assert panel.errors == []
    assert "Not done" in panel.status.value


def test_what_is_typed_for_one_athlete_is_not_shown_for_another(roster):
    panel = second_threshold_panel(roster, "ilva", steps=STEPS)
    panel.athlete.value = "tobin"
    assert panel.steps.value == ""
    assert panel.found.steps.on is not None  # his own, recorded
    assert panel.errors == []


def test_accepting_and_withdrawing_stand_above_the_page(roster):
    panel = second_threshold_panel(roster, "ilva")
    order = list(panel.children)
    for above in (panel.doubts, panel.status, panel.typing):
        assert order.index(above) < order.index(panel.page)
    rows = [child for child in order[: order.index(panel.page)] if hasattr(child, "children")]
    acting = [each for row in rows for each in row.children]
    assert {panel.accept_button, panel.withdraw_button, panel.choice, panel.day} <= set(acting)


def test_what_speaks_against_a_value_stands_where_it_is_accepted(roster):
    panel = second_threshold_panel(roster, "ilva")
    assert "may lie as high as 161 and the second as low as 155" in panel.doubts.value


def test_a_bound_is_told_as_a_bound(roster):
    own = open_roster(roster).athlete("wenna")
    own.accept_threshold(
        Threshold(which="second", on=date(2026, 11, 1), hr_bpm=160, hr_low_bpm=160, bounded="above")
    )
    page = second_threshold_panel(roster, "wenna", interactive=False).page.replace("\u00a0", " ")
    assert "only a bound is accepted: it lies above 160 bpm" in page
