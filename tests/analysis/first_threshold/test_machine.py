"""The next test and the repeated one lie on the athlete's own grid, whatever it is."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.machine import machine_of, setting_at
from coachlib.analysis.first_threshold.series import analyse_series
from coachlib.files.roster.forms import fill
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.machine import Ergometer, Treadmill

ANNA = Athlete(slug="anna", name="Anna", hr_max_bpm=190)
#: Set to settings that hardly any of the machines below has.
ON_A_BELT = [
    SeriesTest(
        on=date(2026, 10, day), first_half_bpm=hr, drift_pct=drift, se_pct=0.5, minutes=60,
        speed_mps=kmh / 3.6, grade=pct / 100,
    )
    for day, hr, drift, kmh, pct in ((3, 148, 1.0, 9.07, 4.3), (10, 156, 3.4, 9.73, 5.7), (17, 163, 7.1, 10.13, 5.7))
]  # fmt: skip
BY_POWER = [
    SeriesTest(
        on=date(2026, 10, day), first_half_bpm=hr, drift_pct=drift, se_pct=0.5, minutes=60, power_w=watts
    )
    for day, hr, drift, watts in ((3, 140, 1.0, 177), (10, 148, 3.0, 203))
]


def hundredths(low, high):
    return st.integers(low, high).map(lambda n: Decimal(n) / 100)


@st.composite
def belts(draw):
    """What a belt says on its plate: lowest, highest and step of speed and of grade."""
    low, step = draw(hundredths(0, 700)), draw(hundredths(5, 200))
    grade_low, grade_step = draw(hundredths(0, 200)), draw(hundredths(10, 300))
    return {
        "speed_low_kmh": low,
        "speed_high_kmh": low + step * draw(st.integers(1, 26)),
        "speed_step_kmh": step,
        "grade_low_pct": grade_low,
        "grade_high_pct": min(grade_low + grade_step * draw(st.integers(0, 12)), Decimal(38)),
        "grade_step_pct": grade_step,
    }


def is_on(value, typed, name):
    """Whether a typed value is a whole number of steps above the lowest, in decimal numbers."""
    low, high, step = (typed[key] for key in typed if key.startswith(name))
    above = Decimal(str(round(value, 6))) - low
    return above == 0 or (above % step == 0 and 0 <= above <= high - low)


@settings(deadline=None, max_examples=40)
@given(typed=belts())
def test_every_planned_belt_setting_is_one_the_belt_has(typed):
    treadmill = fill(Treadmill, {key: float(value) for key, value in typed.items()}).record
    athlete = ANNA.model_copy(update={"treadmill": treadmill})
    series = analyse_series(ON_A_BELT, athlete, machine=machine_of(athlete, ON_A_BELT))
    again = setting_at(
        Threshold(which="first", on=date(2026, 10, 20), hr_bpm=158, speed_mps=9.87 / 3.6, grade=0.057),
        athlete,
    )
    for setting in (series.next_test.settings, again):
        assert is_on(3.6 * setting.speed_mps, typed, "speed")
        assert is_on(100 * setting.grade, typed, "grade")
    assert series.machine == treadmill
    assert not series.machine_is_usual


@settings(deadline=None, max_examples=40)
@given(low=st.integers(0, 200), step=st.integers(1, 50), n=st.integers(1, 40))
def test_every_planned_power_is_one_the_ergometer_has(low, step, n):
    ergometer = Ergometer(power_low_w=low, power_high_w=low + step * n, power_step_w=step)
    athlete = ANNA.model_copy(update={"ergometer": ergometer})
    planned = analyse_series(BY_POWER, athlete, machine=machine_of(athlete, BY_POWER)).next_test.settings
    again = setting_at(Threshold(which="first", on=date(2026, 10, 20), hr_bpm=148, power_w=187), athlete)
    for setting in (planned, again):
        assert (setting.power_w - low) % step == 0
        assert low <= setting.power_w <= low + step * n


def test_finer_steps_come_nearer_to_the_aim():
    missed = []
    for step_w in (40, 10, 1):
        plan = analyse_series(BY_POWER, ANNA, machine=Ergometer(power_step_w=step_w)).next_test
        missed.append(abs(plan.settings.predicted_bpm - plan.target_bpm))
    assert missed == sorted(missed, reverse=True)
    assert missed[-1] < 0.2


def test_a_belt_without_incline_is_set_by_speed_alone():
    level = Treadmill(speed_step_mps=0.5 / 3.6, grade_high=0.0)
    plan = analyse_series(ON_A_BELT, ANNA, machine=level).next_test
    assert plan.settings.grade == 0.0
    assert plan.settings.speed_mps > max(t.speed_mps for t in ON_A_BELT)
    assert abs(plan.settings.predicted_bpm - plan.target_bpm) < 3
    assert plan.caveats == ()


@pytest.mark.parametrize("end", ["fast enough", "slow enough"])
def test_a_belt_that_ends_before_the_aim_is_told(end):
    kmh = (6.9, 8) if end == "fast enough" else (16, 20)
    belt = Treadmill(speed_low_mps=kmh[0] / 3.6, speed_high_mps=kmh[1] / 3.6, grade_high=0.0)
    plan = analyse_series(ON_A_BELT, ANNA, machine=belt).next_test
    assert 3.6 * plan.settings.speed_mps == pytest.approx(kmh[1] if end == "fast enough" else kmh[0])
    assert plan.caveats[0].name == "machine misses the aim"


def test_the_machine_is_the_one_noted_of_the_kind_last_used():
    own = Treadmill(grade_high=0.0)
    athlete = ANNA.model_copy(update={"treadmill": own})
    assert machine_of(athlete, ON_A_BELT) == own
    assert machine_of(ANNA, ON_A_BELT) == Treadmill()
    assert (machine_of(athlete, ()), machine_of(ANNA, ())) == (own, None)
    assert machine_of(athlete, BY_POWER) == Ergometer()
    assert machine_of(athlete, [SeriesTest(on=date(2026, 10, 3), first_half_bpm=150, drift_pct=2, se_pct=1, minutes=60,
                                           speed_mps=3.0)]) is None  # fmt: skip
    assert analyse_series(ON_A_BELT, ANNA, machine=Treadmill()).machine_is_usual
    assert not analyse_series(
        ON_A_BELT, ANNA.model_copy(update={"treadmill": Treadmill()}), machine=Treadmill()
    ).machine_is_usual


def test_a_repeated_test_keeps_the_grade_the_belt_has_and_the_effort():
    """The demand of 10.4 km/h at 4 % is 44.4 ml/kg/min; on the level that is 12.27 km/h (ACSM, running)."""
    known = Threshold(which="first", on=date(2026, 10, 5), hr_bpm=158, speed_mps=10.4 / 3.6, grade=0.04)
    halves = ANNA.model_copy(update={"treadmill": Treadmill(speed_step_mps=0.5 / 3.6)})
    found = setting_at(known, halves)
    assert (3.6 * found.speed_mps, found.grade) == pytest.approx((10.5, 0.04))
    level = ANNA.model_copy(update={"treadmill": Treadmill(grade_high=0.0)})
    assert 3.6 * setting_at(known, level).speed_mps == pytest.approx(12.3)


def test_a_threshold_found_outdoors_stays_as_it_is():
    known = Threshold(which="first", on=date(2026, 10, 5), hr_bpm=158, speed_mps=2.971)
    assert setting_at(known, ANNA).speed_mps == 2.971
    assert setting_at(known.model_copy(update={"speed_mps": None}), ANNA).speed_mps is None
