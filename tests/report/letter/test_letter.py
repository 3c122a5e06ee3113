"""The letter's first pages: what the week rests on, and what is left out."""

import re
from dataclasses import replace

from report.season_drawn import ordinary, plain, season, week
from season_parts import anna, day, session

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.records.athlete import Threshold
from coachlib.records.diary import DiaryRow
from coachlib.report.letter import letter

BOTH = anna(
    hr_rest_bpm=50,
    thresholds=(
        Threshold(which="first", on=day(0), hr_bpm=150, hr_low_bpm=147, hr_high_bpm=153),
        Threshold(which="second", on=day(0), hr_bpm=170),
    ),
)


def titles(page):
    return re.findall(r"<h3>([^<]*)</h3>", plain(page))


def test_zones_nobody_went_to_are_left_out():
    page = letter.evidence(week(ordinary(), BOTH), season(ordinary(), athlete=BOTH))
    named = re.findall(r"<text[^>]*>([^<]* bpm)</text>", page)
    assert [name.partition(",")[0] for name in named] == ["very easy", "easy"]
    hard = [*ordinary(), session(day(15, 5), hr=178, kind="intervals")]
    page = letter.evidence(week(hard, BOTH), season(hard, athlete=BOTH))
    assert len(re.findall(r"<text[^>]*>([^<]* bpm)</text>", page)) > 2


def test_a_test_stands_before_everything_else_with_its_interval():
    sessions = [*ordinary(), session(day(15, 5), hr=150, kind="drift test", drift_pct=2.0)]
    page = letter.evidence(week(sessions, BOTH), season(sessions, athlete=BOTH))
    drift = sessions[-1].drift
    assert titles(page)[0] == (
        f"Saturday: heart rate rose {drift.drift_pct:.1f} % ({drift.drift_low_pct:.1f} to {drift.drift_high_pct:.1f}) "
        "over 60 min"
    )
    assert "<p>Easy days were easy: this week 120 of 120 min" in plain(page)


def test_an_ordinary_steady_session_is_no_figure():
    sessions = [replace(s, steady=session(s.on, drift_pct=2.0).steady) for s in ordinary()]
    assert len(titles(letter.evidence(week(sessions, BOTH), season(sessions, athlete=BOTH)))) == 1


def test_a_week_without_sessions_rests_on_nothing():
    before = [s for s in ordinary() if s.on < day(15)]
    rows = [DiaryRow(on=day(15, d), kind="rest", health="ill") for d in (0, 3)]
    empty = week(before, BOTH, diary=rows)
    assert letter.evidence(empty, season(before, athlete=BOTH)) == ""
    assert "There are two diary entries this week but no recording." in letter.lead(empty)
    assert "There is one diary entry this week" in letter.lead(week(before, BOTH, diary=rows[:1]))
    assert "Rest until you are well" in letter.next_thing(
        AthleteWeek(week=empty, season=season(before, athlete=BOTH))
    )


def test_without_a_season_the_section_is_left_out():
    assert letter.season(week(ordinary()), None) == ""
    assert "<h2>The weeks behind you</h2>" in letter.season(week(ordinary()), season(ordinary()))
