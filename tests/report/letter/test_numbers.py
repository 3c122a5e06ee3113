"""Whatever an athlete wrote, the letter and its numbers are made; and the numbers are for the letter's eyes."""

from datetime import timedelta

import pytest
from built_activity import START, built_activity
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from coachlib.analysis.recording.detected import detect
from coachlib.analysis.recording.judge import judge
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.week.calendar import week_of
from coachlib.analysis.week.week import analyse_week
from coachlib.records.athlete import Athlete
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import RosterSettings
from coachlib.report.letter import letter
from coachlib.report.letter.day_rows import days
from coachlib.report.letter.how_we_know import how_we_know
from coachlib.report.letter.numbers import numbers
from coachlib.report.page.gate import check_page
from coachlib.report.page.names import LookOut
from coachlib.report.page.page import render

ON = START.date()
WEEK = week_of(ON)
ACTIVITY = built_activity(seconds=2400)
DETECTED = detect(ACTIVITY)

WORDS = st.none() | st.text(max_size=40)
NUMBER = {
    "planned_min": 14400, "done_min": 14400, "rpe": 10, "humidity_pct": 100, "sleep_h": 24, "hours_awake": 72,
    "hours_since_food": 72, "fluid_l": 20,
}  # fmt: skip
ROWS = st.fixed_dictionaries(
    {"on": st.integers(-3, 9).map(lambda day: ON + timedelta(days=day))},
    optional={
        "start": st.none() | st.times(),
        **{name: st.none() | st.floats(0, top) for name, top in NUMBER.items()},
        **dict.fromkeys(
            ("recording", "planned", "target", "kind", "caffeine", "equipment", "remarks"), WORDS
        ),
        "talk": st.sampled_from([None, "comfortable", "equivocal", "not"]),
        "health": st.sampled_from([None, "ok", "tired", "ill", "pain"]),
        "temperature_c": st.none() | st.floats(-40, 55),
    },
)


def made(rows, of_session, athlete, note=None):
    session = judge("run", ACTIVITY, None, athlete, of_session, detected=DETECTED, time_zone="Europe/Vienna")
    week = analyse_week(WEEK, [session], athlete, settings=RosterSettings(name="R"), diary=rows, note=note)
    blocks = [
        letter.head(week), letter.lead(week), letter.note(week), letter.next_thing(AthleteWeek(week=week)), letter.evidence(week, None),
        letter.season(week, None), days(week), how_we_know(week, None),
    ]  # fmt: skip
    return render(blocks, title="A week"), numbers(week)


@given(st.lists(ROWS, max_size=4), st.none() | ROWS, st.sampled_from([None, 170.0, 250.0]))
@settings(max_examples=60, deadline=None)
def test_a_diary_of_any_allowed_shape_is_a_letter(rows, of_session, hr_max_bpm):
    athlete = Athlete(slug="anna", name="Anna", hr_max_bpm=hr_max_bpm, hr_rest_bpm=50, sex="female")
    page, kept = made(
        [DiaryRow(**row) for row in rows], None if of_session is None else DiaryRow(**of_session), athlete
    )
    check_page(page, numbers=kept.values, look_out=LookOut(others=["Berta Holmqvist"], own="Anna"))
    assert kept.values["week"] == WEEK


def test_what_is_no_row_is_refused_before():
    with pytest.raises(ValidationError):
        DiaryRow(on=ON, rpe=11)


def test_the_numbers_hold_what_the_letters_eyes_may_see_and_nothing_else():
    athlete = Athlete(
        slug="anna", name="Anna", birth_year=1984, mass_kg=60, hr_max_bpm=188,
        thresholds=({"which": "first", "on": "2026-01-01", "hr_bpm": 150, "note": "PLANTED", "tests": ("PLANTED",)},),
    )  # fmt: skip
    _, kept = made([], None, athlete)
    assert "PLANTED" not in str(kept.values)
    assert set(kept.values["athlete"]) == {"name"}
    assert not {"settings", "unreadable", "diary_problems"} & set(kept.values)
    assert not {"sha256", "device", "gear", "row"} & set(kept.values["sessions"][0])
