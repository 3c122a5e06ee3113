"""A letter before the first threshold: what the weeks were, and hints with what they rest on."""

from dataclasses import replace

from report.season_drawn import plain, season, week
from season_parts import anna, day, session

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.measures.common.codes import code
from coachlib.report.letter import letter
from coachlib.report.letter.first_letter import so_far

NEW = anna(thresholds=())


def said(sessions, athlete=NEW):
    monday = AthleteWeek(
        week=week(sessions, athlete), season=season(sessions, athlete=athlete), history=tuple(sessions)
    )
    return plain(so_far(monday))


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
    sure = session(day(15, 1), hr=150, drift_pct=4.0)
    assert sure.steady.meaning.name == "near"
    assert "likely" not in said([sure])


def test_half_an_hour_hints_nothing_yet():
    page = said([session(day(15, 1), drift_pct=1.0, drift_minutes=30)])
    assert "over 30 min. A hint: less than 45 min carry no verdict of their own" in page
    assert "an hour" not in page


def test_without_a_steady_stretch_the_way_to_one_is_told():
    short = replace(
        session(day(15, 1), talk="comfortable", hr_mean_bpm=153.0),
        not_steady=code("steady too short", minutes=22.8, needed_min=30.0),
    )
    before = session(day(14, 1), hr_mean_bpm=150.0)
    page = said([before, short])
    assert "Two sessions in two weeks, 2 h 00 in all, at 150 to 153 bpm on average." in page
    assert "The longest even stretch was 23 min. From 30 min on" in page
    assert (
        "You could talk comfortably at 153 bpm on average: a hint that your first threshold lies above that."
        in page
    )


def test_with_a_threshold_or_without_sessions_it_is_left_out():
    assert said([session(day(15, 1))], anna()) == ""
    assert said([session(day(14, 1))]) == ""


def test_the_reason_stands_before_what_is_done_instead():
    sessions = [session(day(15, 1), minutes=40)]
    monday = AthleteWeek(
        week=week(sessions, NEW), season=season(sessions, athlete=NEW), history=tuple(sessions)
    )
    page = plain(letter.next_thing(monday))
    assert page.index("the longest was 40 min") < page.index("<strong>Instead, 15 minutes")
