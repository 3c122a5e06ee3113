"""Every check finds what it is for, and nothing where all is well."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from built_activity import START, built_activity

from coachlib.analysis.recording.diary import match
from coachlib.analysis.recording.duplicates import Duplicate
from coachlib.analysis.roster.check import (
    check_decisions,
    duplicate_finding,
    facts_of,
    hr_held,
    may_be_one,
)
from coachlib.analysis.roster.check_athlete import check_machine, check_profile, check_tests, check_thresholds
from coachlib.analysis.roster.check_diary import check_diary
from coachlib.records.athlete import Athlete, Threshold, TypedTest
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window
from coachlib.records.diary import DiaryRow
from coachlib.records.machine import Ergometer, Treadmill

SHA = "0" * 64
LATEST = date(2026, 11, 22)


def threshold(which, day, hr_bpm, **more):
    return Threshold(which=which, on=date.fromisoformat(day), hr_bpm=hr_bpm, **more)


def athlete(*thresholds, **more):
    return Athlete(**{"slug": "mira", "name": "Mira", "thresholds": thresholds, **more})


def facts(**changes):
    return replace(facts_of("run", built_activity(), None, time_zone=None), **changes)


def aged(person, **more):
    return check_thresholds(person, **{"latest_on": LATEST, "stale_after_weeks": 8, **more})


def test_thresholds_in_order_and_fresh_are_well():
    person = athlete(threshold("first", "2026-10-05", 158), threshold("second", "2026-10-12", 174))
    assert aged(person) == ()


def test_file_order_that_is_not_by_date_is_advice():
    person = athlete(threshold("first", "2026-10-05", 158), threshold("first", "2026-03-01", 150))
    (found,) = aged(person)
    assert (found.severity, found.file) == ("advice", "athlete.toml")
    assert found.sentence == "the thresholds do not stand in the order of their dates"


def test_second_below_first_is_told_from_the_day_on_and_once():
    person = athlete(
        threshold("second", "2026-09-01", 160),
        threshold("first", "2026-10-05", 162),
        threshold("second", "2026-10-20", 175),
    )
    (found,) = aged(person)
    assert found.severity == "problem"
    assert found.sentence == (
        "from 2026-10-05 on the second threshold (160 bpm, of 2026-09-01) is not "
        "above the first (162 bpm, of 2026-10-05)"
    )


def test_a_withdrawn_threshold_is_not_judged():
    person = athlete(
        threshold("second", "2026-10-01", 150, withdrawn=True), threshold("first", "2026-10-05", 158)
    )
    assert aged(person) == ()


def test_two_thresholds_of_one_day_are_told():
    person = athlete(threshold("first", "2026-10-05", 158), threshold("first", "2026-10-05", 160))
    assert [f.sentence for f in aged(person)] == [
        "two first thresholds stand for 2026-10-05: 158 and 160 bpm"
    ]


@pytest.mark.parametrize(("weeks", "n_found"), [(8, 0), (9, 1)])
def test_a_threshold_grows_old_by_the_latest_recording(weeks, n_found):
    day = (LATEST - timedelta(weeks=weeks)).isoformat()
    found = aged(athlete(threshold("first", day, 158)))
    assert len(found) == n_found
    if found:
        assert f"of {day} is 9 weeks old at the latest recording" in found[0].sentence


def test_no_first_threshold_is_advice_once_there_are_recordings():
    assert aged(athlete(), latest_on=None) == ()
    (found,) = aged(athlete())
    assert found.sentence == "no first threshold is accepted, so no session can be told easy or not"


def test_a_maximum_below_what_was_held_is_a_problem():
    (found,) = check_profile(athlete(hr_max_bpm=180), [facts(hr_held_bpm=184.0), facts(hr_held_bpm=170.0)])
    assert found.sentence == "`hr_max_bpm` is 180, but run holds 184 bpm for 10 s"
    assert "set hr_max_bpm = 184" in found.way_out
    assert check_profile(athlete(hr_max_bpm=184), [facts(hr_held_bpm=184.0)]) == ()
    assert check_profile(athlete(), [facts(hr_held_bpm=184.0)]) == ()
    assert check_profile(athlete(hr_max_bpm=180), [facts(hr_held_bpm=None)]) == ()


def on_a_belt(kmh, pct, **more):
    stages = (
        Stage(start_s=0, stop_s=30, speed_mps=1.0),
        Stage(start_s=30, stop_s=200, speed_mps=kmh / 3.6, grade=pct / 100),
    )
    decided = Decisions(fit_sha256=SHA, **{"kind": "drift test", "stages": stages, **more})
    return facts_of("run", built_activity(), decided, time_zone=None)


def test_a_machine_that_has_not_what_the_latest_test_ran_at_is_advice():
    halves = athlete(treadmill=Treadmill(speed_step_mps=0.5 / 3.6))
    assert check_machine(halves, [on_a_belt(10.5, 4)]) == ()
    (found,) = check_machine(halves, [on_a_belt(10.4, 4)])
    assert (found.severity, found.file) == ("advice", "athlete.toml")
    assert found.sentence == (
        "the latest drift test with a setting (run) was done at 10.4 km/h at 4 %, which [treadmill] cannot be set to"
    )
    later = replace(on_a_belt(10.5, 4), local_start=datetime(2030, 1, 1))
    assert check_machine(halves, [on_a_belt(10.4, 4), later]) == ()
    assert check_machine(halves, [on_a_belt(10.4, 4, kind="intervals")]) == ()
    assert check_machine(athlete(), [on_a_belt(10.4, 4)]) == ()


def test_a_typed_test_is_held_against_the_ergometer():
    typed = TypedTest(on=date(2026, 9, 20), first_half_bpm=140, second_half_bpm=143, minutes=60, power_w=165)
    tens = athlete(ergometer=Ergometer(power_step_w=10), typed_tests=(typed,))
    (found,) = check_machine(tens, [])
    assert "(typed in for 2026-09-20) was done at 165 W, which [ergometer] cannot be set to" in found.sentence
    assert check_machine(athlete(ergometer=Ergometer(), typed_tests=(typed,)), []) == ()


def test_a_threshold_at_the_maximum_is_a_problem():
    (found,) = check_profile(athlete(threshold("second", "2026-10-05", 180), hr_max_bpm=180), [])
    assert found.sentence == "the second threshold of 2026-10-05 is 180 bpm and `hr_max_bpm` 180"


def spiky(seconds_up):
    hr = np.full(600, 140.0)
    hr[100 : 100 + seconds_up] = 200.0
    return built_activity(seconds=600, hr_bpm=hr)


@pytest.mark.parametrize(("seconds_up", "held"), [(1, 140.0), (9, 140.0), (10, 200.0), (60, 200.0)])
def test_heart_rate_counts_when_held_for_ten_seconds(seconds_up, held):
    assert hr_held(spiky(seconds_up), None) == held


def test_what_the_coach_left_out_is_not_held():
    left_out = Decisions(fit_sha256=SHA, exclusions=(Exclusion(start_s=95, stop_s=165),))
    assert hr_held(spiky(60), left_out) == 140.0
    of_speed = Decisions(
        fit_sha256=SHA, exclusions=(Exclusion(start_s=95, stop_s=165, quantity="speed_mps"),)
    )
    assert hr_held(spiky(60), of_speed) == 200.0


def test_a_silent_sensor_holds_nothing():
    hr = np.full(600, np.nan)
    assert hr_held(built_activity(seconds=600, hr_bpm=hr), None) is None
    hr[[100, 130]] = 200.0
    hr[300:400] = 150.0
    assert hr_held(built_activity(seconds=600, hr_bpm=hr), None) == 150.0


def test_sparse_records_hold_until_the_next():
    hr = np.full(100, 140.0)
    hr[50:53] = 180.0
    assert hr_held(built_activity(seconds=500, step_s=5.0, hr_bpm=hr), None) == 180.0


def test_a_test_that_is_gone_is_advice():
    person = athlete(threshold("first", "2026-10-05", 158, tests=("a" * 64, f"{1:064x}", "typed by hand")))
    (found,) = check_tests(person, [facts()])
    assert found.sentence == "the test aaaaaaaaaaaa... behind the first threshold of 2026-10-05 is not there"


def starts(*hours):
    return [(f"run{h}", datetime(2026, 10, 5, h)) for h in hours]


def diary_findings(rows, *hours):
    return [
        (f.severity, f.sentence) for f in check_diary("mira", match(rows, starts(*hours)), has_diary=True)
    ]


def test_a_diary_that_fits_is_well():
    assert diary_findings([DiaryRow(on=date(2026, 10, 5), rpe=3, kind="easy")], 7) == []


def test_rows_and_recordings_that_stand_alone_are_told():
    rows = [
        DiaryRow(on=date(2026, 10, 4), rpe=4, start="17:30"),
        DiaryRow(on=date(2026, 10, 6), recording="gone"),
    ]
    assert diary_findings(rows, 7) == [
        ("advice", "no recording belongs to the row of 2026-10-04, 17:30"),
        (
            "problem",
            'the row of 2026-10-06 names the recording "gone", which is not there or belongs to another row',
        ),
        ("advice", "no row belongs to the recording run7"),
    ]


def test_a_day_of_rest_needs_no_recording():
    assert diary_findings([DiaryRow(on=date(2026, 10, 4), health="tired", remarks="slept")]) == []


def test_a_kind_nobody_knows_is_told():
    rows = [DiaryRow(on=date(2026, 10, 5), kind="jog")]
    assert diary_findings(rows, 7) == [("advice", 'the kind of session on 2026-10-05 is "jog"')]


def test_no_diary_is_said_once():
    (found,) = check_diary("mira", match([], starts(7, 18)), has_diary=False)
    assert found.sentence.startswith("there is no diary, so effort, talk test and remarks are missing")


def test_a_stretch_beyond_the_end_is_a_problem():
    decided = Decisions(fit_sha256=SHA, windows=(Window(start_s=4000, stop_s=5000),))
    (found,) = check_decisions("mira", "run.decisions.toml", decided, facts(elapsed_s=3599.0))
    assert found.sentence == "a stretch starts at 4000 s, but the recording has 3599 s"
    assert check_decisions("mira", "run.decisions.toml", decided, facts(elapsed_s=4600.0)) == ()


@pytest.mark.parametrize(
    ("sameness", "severity", "sentence"),
    [
        ("same bytes", "problem", "run and ride are the same file twice"),
        ("same values", "problem", "run and ride hold the same values, exported twice"),
        (
            "two devices",
            "problem",
            "run and ride are probably one session on two devices: they share 95 % of the shorter, "
            "and heart rate agrees (correlation 0.991 at a lag of 14 s)",
        ),
        ("same time", "advice", "run and ride ran at the same time: they share 95 % of the shorter"),
    ],
)
def test_duplicates_are_told_by_how_they_resemble(sameness, severity, sentence):
    likeness = Duplicate(sameness=sameness, overlap_frac=0.95, hr_correlation=0.991, lag_s=-14.0)
    found = duplicate_finding("mira", facts(), facts(recording="ride"), likeness)
    assert (found.severity, found.sentence, found.file) == (severity, sentence, "ride.fit")


def test_only_recordings_that_overlap_or_are_equal_are_compared():
    one = facts()
    assert may_be_one(one, facts(sha256="f" * 64, started_at=START + timedelta(minutes=59)))
    assert not may_be_one(one, facts(sha256="f" * 64, started_at=START + timedelta(minutes=61)))
    assert may_be_one(one, facts(started_at=START + timedelta(days=1)))
