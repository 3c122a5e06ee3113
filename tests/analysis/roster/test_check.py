"""Every check finds what it is for, and nothing where all is well."""

from dataclasses import replace
from datetime import date, datetime, timedelta

import numpy as np
import pytest
from built_activity import START, built_activity
from judging import judged

from coachlib.analysis.recording.diary import match
from coachlib.analysis.recording.duplicates import Duplicate
from coachlib.analysis.roster.check import (
    Facts,
    check_decisions,
    duplicate_finding,
    longest_setting,
    may_be_one,
)
from coachlib.analysis.roster.check_athlete import check_machine, check_profile, check_tests, check_thresholds
from coachlib.analysis.roster.check_diary import check_diary
from coachlib.records.athlete import Athlete, Threshold, TypedTest
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window
from coachlib.records.diary import DiaryRow
from coachlib.records.machine import Ergometer, Treadmill
from coachlib.report.words.catalogue import sentence, way_out

SHA = "0" * 64
LATEST = date(2026, 11, 22)


def threshold(which, day, hr_bpm, **more):
    return Threshold(which=which, on=date.fromisoformat(day), hr_bpm=hr_bpm, **more)


def athlete(*thresholds, **more):
    return Athlete(**{"slug": "mira", "name": "Mira", "thresholds": thresholds, **more})


def facts(**changes):
    name = changes.get("recording", "run")
    plain = Facts(
        recording=name, file=f"{name}.fit", part=0, sha256=SHA, started_at=START, local_start=START,
        elapsed_s=3599.0, hr_held_bpm=None, setting=None,
    )  # fmt: skip
    return replace(plain, **changes)


def aged(person, **more):
    return check_thresholds(person, **{"latest_on": LATEST, "stale_after_weeks": 8, **more})


def test_thresholds_in_order_and_fresh_are_well():
    person = athlete(threshold("first", "2026-10-05", 158), threshold("second", "2026-10-12", 174))
    assert aged(person) == ()


def test_file_order_that_is_not_by_date_is_advice():
    person = athlete(threshold("first", "2026-10-05", 158), threshold("first", "2026-03-01", 150))
    (found,) = aged(person)
    assert (found.severity, found.file) == ("advice", "athlete.toml")
    assert sentence(found.code) == "the thresholds do not stand in the order of their dates"


def test_second_below_first_is_told_from_the_day_on_and_once():
    person = athlete(
        threshold("second", "2026-09-01", 160),
        threshold("first", "2026-10-05", 162),
        threshold("second", "2026-10-20", 175),
    )
    (found,) = aged(person)
    assert found.severity == "problem"
    assert sentence(found.code) == (
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
    assert [sentence(f.code) for f in aged(person)] == [
        "two first thresholds stand for 2026-10-05: 158 and 160 bpm"
    ]


@pytest.mark.parametrize(("weeks", "n_found"), [(8, 0), (9, 1)])
def test_a_threshold_grows_old_by_the_latest_recording(weeks, n_found):
    day = (LATEST - timedelta(weeks=weeks)).isoformat()
    found = aged(athlete(threshold("first", day, 158)))
    assert len(found) == n_found
    if found:
        assert f"of {day} is 9 weeks old at the latest recording" in sentence(found[0].code)


def test_no_first_threshold_is_advice_once_there_are_recordings():
    assert aged(athlete(), latest_on=None) == ()
    (found,) = aged(athlete())
    assert sentence(found.code) == "no first threshold is accepted, so no session can be told easy or not"


def test_a_maximum_below_what_was_held_is_a_problem():
    (found,) = check_profile(athlete(hr_max_bpm=180), [facts(hr_held_bpm=184.0), facts(hr_held_bpm=170.0)])
    assert sentence(found.code) == "the maximum is 180 bpm, but run holds 184 bpm for ten seconds"
    assert "was it the heart, write what was measured" in way_out(found.code)
    assert check_profile(athlete(hr_max_bpm=184), [facts(hr_held_bpm=184.0)]) == ()
    assert check_profile(athlete(), [facts(hr_held_bpm=184.0)]) == ()
    assert check_profile(athlete(hr_max_bpm=180), [facts(hr_held_bpm=None)]) == ()


def on_a_belt(kmh, pct, **more):
    stages = (
        Stage(start_s=0, stop_s=30, speed_mps=1.0),
        Stage(start_s=30, stop_s=200, speed_mps=kmh / 3.6, grade=pct / 100),
    )
    decided = Decisions(fit_sha256=SHA, **{"kind": "drift test", "stages": stages, **more})
    return facts(setting=longest_setting(decided))


def test_a_machine_that_has_not_what_the_latest_test_ran_at_is_advice():
    halves = athlete(treadmill=Treadmill(speed_step_mps=0.5 / 3.6))
    assert check_machine(halves, [on_a_belt(10.5, 4)]) == ()
    (found,) = check_machine(halves, [on_a_belt(10.4, 4)])
    assert (found.severity, found.file) == ("advice", "athlete.toml")
    assert sentence(found.code) == (
        "the latest drift test with a setting (run) was done at 10.4 km/h at 4 %, which the noted treadmill cannot be set to"
    )
    later = replace(on_a_belt(10.5, 4), local_start=datetime(2030, 1, 1))
    assert check_machine(halves, [on_a_belt(10.4, 4), later]) == ()
    assert check_machine(halves, [on_a_belt(10.4, 4, kind="intervals")]) == ()
    assert check_machine(athlete(), [on_a_belt(10.4, 4)]) == ()


def test_a_typed_test_is_held_against_the_ergometer():
    typed = TypedTest(on=date(2026, 9, 20), first_half_bpm=140, second_half_bpm=143, minutes=60, power_w=165)
    tens = athlete(ergometer=Ergometer(power_step_w=10), typed_tests=(typed,))
    (found,) = check_machine(tens, [])
    assert "(typed in) was done at 165 W, which the noted ergometer cannot be set to" in sentence(found.code)
    assert check_machine(athlete(ergometer=Ergometer(), typed_tests=(typed,)), []) == ()


def test_a_threshold_at_the_maximum_is_a_problem():
    (found,) = check_profile(athlete(threshold("second", "2026-10-05", 180), hr_max_bpm=180), [])
    assert sentence(found.code) == "the second threshold of 2026-10-05 is 180 bpm and the maximum 180 bpm"


def held_in(activity, decisions=None):
    return judged(activity, decisions).hr_top_bpm


def spiky(seconds_up):
    hr = np.full(600, 140.0)
    hr[100 : 100 + seconds_up] = 200.0
    return built_activity(seconds=600, hr_bpm=hr)


@pytest.mark.parametrize(("seconds_up", "held"), [(1, 140.0), (9, 140.0), (10, 200.0), (60, 200.0)])
def test_heart_rate_counts_when_held_for_ten_seconds(seconds_up, held):
    assert held_in(spiky(seconds_up)) == held


def test_what_the_coach_left_out_is_not_held():
    left_out = Decisions(fit_sha256=SHA, exclusions=(Exclusion(start_s=95, stop_s=165),))
    assert held_in(spiky(60), left_out) == 140.0
    of_speed = Decisions(
        fit_sha256=SHA, exclusions=(Exclusion(start_s=95, stop_s=165, quantity="speed_mps"),)
    )
    assert held_in(spiky(60), of_speed) == 200.0


def test_a_silent_sensor_holds_nothing():
    hr = np.full(600, np.nan)
    assert held_in(built_activity(seconds=600, hr_bpm=hr)) is None
    hr[[100, 130]] = 200.0
    hr[300:400] = 150.0
    assert held_in(built_activity(seconds=600, hr_bpm=hr)) == 150.0


def test_sparse_records_hold_until_the_next():
    hr = np.full(100, 140.0)
    hr[50:53] = 180.0
    assert held_in(built_activity(seconds=500, step_s=5.0, hr_bpm=hr)) == 180.0


def test_a_test_that_is_gone_is_advice():
    person = athlete(threshold("first", "2026-10-05", 158, tests=("a" * 64, SHA, "typed by hand")))
    (found,) = check_tests(person, [facts()])
    assert (
        sentence(found.code)
        == "the test aaaaaaaaaaaa... behind the first threshold of 2026-10-05 is not there"
    )


def starts(*hours):
    return [(f"run{h}", datetime(2026, 10, 5, h)) for h in hours]


def diary_findings(rows, *hours):
    return [
        (f.severity, sentence(f.code))
        for f in check_diary("mira", match(rows, starts(*hours)), has_diary=True)
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
            "the row of 2026-10-06 names the recording “gone”, which is not there or belongs to another row",
        ),
        ("advice", "no row belongs to the recording run7"),
    ]


def test_a_day_of_rest_needs_no_recording():
    assert diary_findings([DiaryRow(on=date(2026, 10, 4), health="tired", remarks="slept")]) == []


def test_a_kind_nobody_knows_is_told():
    rows = [DiaryRow(on=date(2026, 10, 5), kind="jog")]
    assert diary_findings(rows, 7) == [("advice", "the kind of session on 2026-10-05 is “jog”")]


def test_no_diary_is_said_once():
    (found,) = check_diary("mira", match([], starts(7, 18)), has_diary=False)
    assert sentence(found.code).startswith("there is no diary, so effort, talk test and remarks are missing")


def test_a_stretch_beyond_the_end_is_a_problem():
    decided = Decisions(fit_sha256=SHA, windows=(Window(start_s=4000, stop_s=5000),))
    (found,) = check_decisions("mira", "run.decisions.toml", decided, facts(elapsed_s=3599.0))
    assert sentence(found.code) == "a stretch starts at 4000 s, but the recording has 3599 s"
    assert check_decisions("mira", "run.decisions.toml", decided, facts(elapsed_s=4600.0)) == ()


@pytest.mark.parametrize(
    ("sameness", "severity", "words"),
    [
        ("same bytes", "problem", "run and ride are the same file twice"),
        ("same values", "problem", "run and ride hold the same values, exported twice"),
        (
            "two devices",
            "problem",
            "run and ride are probably one session on two devices: they share 95 % of the shorter, "
            "and heart rate agrees (correlation 0.99 at a lag of 14 s)",
        ),
        ("same time", "advice", "run and ride ran at the same time: they share 95 % of the shorter"),
    ],
)
def test_duplicates_are_told_by_how_they_resemble(sameness, severity, words):
    likeness = Duplicate(sameness=sameness, overlap_frac=0.95, hr_correlation=0.991, lag_s=-14.0)
    found = duplicate_finding("mira", facts(), facts(recording="ride"), likeness)
    assert (found.severity, sentence(found.code), found.file) == (severity, words, "ride.fit")


def pairs(*facts):
    return [{one.recording, other.recording} for one, other in may_be_one(facts)]


def at(name, minutes, **changes):
    start = START + timedelta(minutes=minutes)
    return facts(**{"recording": name, "sha256": name * 64, "started_at": start, **changes})


def test_only_recordings_that_overlap_or_are_equal_are_compared():
    assert pairs(at("a", 0), at("b", 59)) == [{"a", "b"}]
    assert pairs(at("a", 0), at("b", 61)) == []
    assert pairs(at("a", 0), at("b", 1440, sha256="a" * 64)) == [{"a", "b"}]
    assert pairs(at("a", 0), at("b", 10), at("c", 30)) == [{"a", "b"}, {"a", "c"}, {"b", "c"}]


def test_the_earlier_name_comes_first_whatever_started_first():
    ((one, other),) = may_be_one((at("a", 30), at("b", 0)))
    assert (one.recording, other.recording) == ("a", "b")


def test_every_overlap_is_found_as_by_comparing_all_with_all():
    rng = np.random.default_rng(5)
    many = [
        at(f"{n:02d}", float(m), elapsed_s=float(e)) for n, (m, e) in enumerate(rng.uniform(1, 5000, (60, 2)))
    ]
    found = {frozenset(pair) for pair in pairs(*many)}
    ends = {f.recording: (f.started_at, f.started_at + timedelta(seconds=f.elapsed_s)) for f in many}
    expected = {
        frozenset((a, b))
        for a in ends
        for b in ends
        if a < b and ends[a][0] < ends[b][1] and ends[b][0] < ends[a][1]
    }
    assert expected
    assert found == expected


def test_ten_times_the_history_takes_ten_times_as_long():
    """Counted in comparisons of starts, not in seconds: the pairs looked at grow with the history."""
    looked = []

    class Counted(type(START)):
        def __sub__(self, other):
            looked.append(1)
            return super().__sub__(other)

    def n_looked(n):
        looked.clear()
        days = [START + timedelta(days=d) for d in range(n)]
        list(
            may_be_one([facts(sha256=str(d), started_at=Counted.fromisoformat(d.isoformat())) for d in days])
        )
        return len(looked)

    assert n_looked(1000) <= 11 * n_looked(100)


def test_a_bad_strap_is_no_maximum_to_write_down():
    held = [facts(hr_held_bpm=bpm, recording=f"run{bpm:.0f}") for bpm in (247.0, 190.0, 170.0)]
    (found,) = check_profile(athlete(hr_max_bpm=186), held)
    assert sentence(found.code) == (
        "the maximum is 186 bpm, but 2 recordings hold more for ten seconds, the most 247 bpm in run247"
    )
    assert "247" not in way_out(found.code)
    assert "strap" in way_out(found.code)
    assert "measured" not in way_out(found.code)


def test_two_sessions_of_one_file_are_not_held_against_each_other():
    assert pairs(at("a", 0, file="a.fit"), at("a:2", 30, file="a.fit", sha256="a" * 64)) == []
