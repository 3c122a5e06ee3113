"""A letter before the first threshold: what the weeks were, and hints with what they rest on."""

import re
from dataclasses import replace

from report.season_drawn import plain, season, week
from season_parts import anna, day, session

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.measures.common.codes import code
from coachlib.report.letter import letter
from coachlib.report.letter.first_letter import so_far

NEW = anna(thresholds=())


def said(sessions, athlete=NEW):
    return plain(so_far(monday_of(sessions, athlete)))


def sure(found):
    """The same session with its drift known within a point."""
    drift = found.steady.drift
    known = replace(drift, drift_low_pct=drift.drift_pct - 1, drift_high_pct=drift.drift_pct + 1, se_pct=0.6)
    return replace(found, steady=replace(found.steady, drift=known))


def monday_of(sessions, athlete=NEW):
    return AthleteWeek(
        week=week(sessions, athlete), season=season(sessions, athlete=athlete), history=tuple(sessions)
    )


def test_steady_sessions_hint_against_five_per_cent_an_hour():
    low, high = (
        session(day(15, d), hr=hr, drift_pct=p, hr_mean_bpm=hr)
        for d, hr, p in ((1, 140, 1.0), (3, 160, 24.0))
    )
    page = said([low, high])
    for where, lies, bpm in (("below", "above", 140), ("above", "below", 160)):
        assert (
            f"A hint: that is {where} 5 %, also with ordinary day-to-day scatter: it is likely that the first threshold "
            f"lies {lies} {bpm} bpm." in page
        )
    near = said([session(day(15, 1), hr=150, drift_pct=5.0)])
    assert "A hint: that is near 5 %" in near
    assert "which side of 150 bpm" in near


def test_the_hint_is_what_the_session_was_judged_to_mean():
    """A drift of 2.5 % is surely below 5 by the run alone, and not with the scatter of days."""
    found = session(day(15, 1), hr=150, drift_pct=4.0)
    assert found.steady.meaning.name == "near"
    assert "likely" not in said([found])


def test_a_test_is_asked_for_where_the_sessions_hint():
    sessions = [
        sure(session(day(15, d), hr=hr, drift_pct=p, minutes=90))
        for d, hr, p in ((1, 140, 1.0), (2, 150, 3.6), (3, 158, 7.5))
    ]
    page = plain(letter.next_thing(monday_of(sessions)))
    assert re.search(r"A steady test near 15\d bpm, on an even route without stops", page)
    assert re.search(
        r"Three steady sessions hint that your first threshold lies between 1\d\d and 1\d\d bpm", page
    )
    easy = plain(letter.next_thing(monday_of(sessions[:1])))
    assert "near 152 bpm" in easy
    assert (
        "One steady session hints that your first threshold lies above 140 bpm, so the test goes a step higher."
        in easy
    )


def test_without_a_hint_the_test_goes_by_talking_in_the_main_sport_on_its_machine():
    rider = anna(thresholds=(), sports=("cycling",))
    sessions = [
        session(day(15, 1), minutes=90, sport="cycling", is_indoor=True),
        session(day(15, 2), minutes=80),
    ]
    page = plain(letter.next_thing(monday_of(sessions, rider)))
    assert (
        "on the indoor bicycle, where the power can be held, at an effort at which you could still talk"
        in page
    )


def test_a_machine_of_last_spring_and_a_session_of_another_sport_do_not_count():
    old = [session(day(2, 1), minutes=90, is_indoor=True, drift_pct=2.0, hr=150)]
    ride = session(day(15, 1), minutes=90, sport="cycling", drift_pct=2.0, hr=120)
    run = session(day(15, 2), minutes=80)
    found = monday_of([*old, ride, run], anna(thresholds=(), sports=("running",))).first_test
    assert (found.sport, found.place, found.target_bpm) == ("running", "open air", None)


def test_a_swimmer_is_tested_on_land_and_weights_are_no_test():
    three = anna(thresholds=(), sports=("swimming", "cycling", "running"))
    swim, ride = session(day(15, 1), minutes=90, sport="swimming"), session(day(15, 2), sport="cycling")
    assert monday_of([swim, ride], three).first_test.sport == "cycling"
    lifted = session(day(15, 1), minutes=90, sport="training")
    found = monday_of([lifted, lifted, ride]).first_test
    assert (found.sport, found.place) == ("cycling", "open air")
    assert monday_of([lifted]).first_test.sport == ""


def test_no_maximum_caps_the_aim_under_medicine_and_none_is_asked_for():
    sessions = [session(day(15, 1), minutes=90, drift_pct=1.0)]
    monday = monday_of(sessions, anna(thresholds=(), heart_rate_medicine=True))
    assert monday.first_test is None


def test_where_the_strap_comes_first_the_test_stands_with_the_weeks():
    poor = [
        session(day(15, d), minutes=90, hr_missing_s=2000.0, drift_pct=1.0 if d == 1 else None)
        for d in (1, 2)
    ]
    page = said(poor)
    assert "The test that fits you after that: a steady test near 152 bpm" in page


def test_half_an_hour_hints_nothing_yet():
    page = said([session(day(15, 1), drift_pct=1.0, drift_minutes=30)])
    assert "The longest even stretch was 30 min. From 45 min on" in page
    assert "an hour" not in page


def test_without_a_steady_stretch_the_way_to_one_is_told():
    short = replace(
        session(day(15, 1), talk="comfortable", hr_mean_bpm=153.0),
        not_steady=code("steady too short", minutes=22.8, needed_min=30.0),
    )
    before = session(day(14, 1), hr_mean_bpm=150.0)
    page = said([before, short])
    assert "Two sessions in two weeks, 2 h 00 in all, at 150 to 153 bpm on average." in page
    assert "The longest even stretch was 23 min. From 45 min on" in page
    assert (
        "You could talk comfortably at 153 bpm on average: a hint that your first threshold lies above that."
        in page
    )


def test_with_a_threshold_or_without_sessions_it_is_left_out():
    assert said([session(day(15, 1))], anna()) == ""
    assert said([session(day(14, 1))]) == ""


def test_the_reason_stands_before_what_is_done_instead():
    sessions = [session(day(15, 1), minutes=40)]
    page = plain(letter.next_thing(monday_of(sessions)))
    assert page.index("the longest was 40 min") < page.index("<strong>Instead, a steady test")
