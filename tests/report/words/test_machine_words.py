"""The letter and the wording name settings that the athlete's machine has."""

import pytest
from report.season_drawn import week
from season_parts import anna, day, session

from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.one_thing import one_thing
from coachlib.records.athlete import Threshold
from coachlib.records.machine import Ergometer, Treadmill
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole
from coachlib.report.words.machine_words import grid_of


@pytest.mark.parametrize(
    ("kmh", "pct", "said"),
    [
        (10.5, 1.5, "10.5 km/h at 1.5 %"),
        (10.0, 0.0, "10.0 km/h at 0 %"),
        (9.25, 2.25, "9.25 km/h at 2.25 %"),
        (0.8 + 97 * 0.1, 0.5 * 3, "10.5 km/h at 1.5 %"),
        # measured, not set: no false hundredths
        (13.204935, None, "13.2 km/h"),
    ],
)
def test_settings_are_told_as_finely_as_they_were_set(kmh, pct, said):
    grade = None if pct is None else pct / 100
    assert wording.setting(speed_mps=kmh / 3.6, grade=grade, power_w=None) == said


def test_a_belt_that_stands_on_a_slope():
    assert grid_of(Treadmill(grade_low=0.02, grade_high=0.02)).endswith("in steps of 0.1, always at 2 %")


@pytest.mark.parametrize(
    ("at", "machine", "said"),
    [
        ({"speed_mps": 10.4 / 3.6, "grade": 0.04}, {}, "10.4 km/h at 4 %"),
        (
            {"speed_mps": 10.4 / 3.6, "grade": 0.04},
            {"treadmill": Treadmill(speed_step_mps=0.5 / 3.6)},
            "10.5 km/h at 4 %",
        ),
        ({"power_w": 183}, {"ergometer": Ergometer(power_step_w=10)}, "180 W"),
        ({"power_w": 183}, {}, "185 W"),
    ],
)
def test_a_letter_asks_to_repeat_a_test_at_a_setting_the_machine_has(at, machine, said):
    old = Threshold(which="first", on=day(0), hr_bpm=150, **at)
    athlete = anna(thresholds=(old,), **machine)
    thing = one_thing(AthleteWeek(week=week([session(day(15, 1), minutes=90)], athlete)))
    assert whole(thing.what).startswith(f"Repeat the steady test at {said}: ")
