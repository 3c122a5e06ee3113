"""The grid of a machine: it starts at the lowest setting, keeps its step, and refuses what no machine is."""

from decimal import Decimal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from coachlib.files.roster.forms import fill, typed_values
from coachlib.records.machine import Ergometer, Treadmill


def belt(**typed):
    filled = fill(Treadmill, typed)
    assert filled.problems == ()
    return filled.record


@pytest.mark.parametrize(
    ("typed", "speeds_kmh"),
    [
        ({"speed_low_kmh": 1, "speed_high_kmh": 3, "speed_step_kmh": 0.5}, [1, 1.5, 2, 2.5, 3]),
        ({"speed_low_kmh": 0.8, "speed_high_kmh": 1.5, "speed_step_kmh": 0.2}, [0.8, 1.0, 1.2, 1.4]),
        ({"speed_low_kmh": 0.8, "speed_high_kmh": 1.1, "speed_step_kmh": 0.1}, [0.8, 0.9, 1.0, 1.1]),
        ({"speed_low_kmh": 2, "speed_high_kmh": 2.3, "speed_step_kmh": 0.25}, [2, 2.25]),
    ],
)
def test_the_grid_starts_at_the_lowest_and_ends_where_whole_steps_end(typed, speeds_kmh):
    np.testing.assert_allclose(3.6 * belt(**typed).speeds_mps, speeds_kmh, rtol=1e-12)


def test_a_usual_belt_is_what_it_was():
    usual = Treadmill()
    np.testing.assert_allclose(3.6 * usual.speeds_mps, np.arange(30, 201) / 10, rtol=1e-12)
    np.testing.assert_allclose(usual.grades, np.arange(13) / 100, atol=1e-15)
    assert Ergometer().powers_w.tolist() == list(range(30, 501, 5))


@pytest.mark.parametrize(("high_pct", "low_pct", "grades"), [(0, 0, [0.0]), (2, 2, [0.02])])
def test_a_belt_without_incline_has_one_grade_whatever_the_step(high_pct, low_pct, grades):
    assert belt(grade_low_pct=low_pct, grade_high_pct=high_pct).grades.tolist() == grades


def test_what_a_belt_has():
    found = belt(speed_low_kmh=1, speed_step_kmh=0.5, grade_step_pct=0.5)
    assert found.has(10.5 / 3.6, 0.015)
    assert not found.has(10.4 / 3.6, 0.015)
    assert not found.has(10.5 / 3.6, 0.0125)
    assert not found.has(25 / 3.6, 0.015)
    assert not Ergometer(power_step_w=10).has(165)
    assert Ergometer(power_step_w=10).has(160)


@pytest.mark.parametrize(
    ("typed", "said"),
    [
        ({"speed_step_kmh": 0}, "key `speed_step_kmh` is 0; allowed: a number from 0.05 to 10 km/h"),
        ({"speed_step_kmh": -0.5}, "key `speed_step_kmh` is -0.5; allowed: a number from 0.05 to 10 km/h"),
        (
            {"speed_low_kmh": 12, "speed_high_kmh": 10},
            "`speed_low_kmh` is 12 and `speed_high_kmh` is 10; the lowest must lie below the highest",
        ),
        (
            {"speed_low_kmh": 10, "speed_high_kmh": 10},
            "`speed_low_kmh` is 10 and `speed_high_kmh` is 10; the lowest must lie below the highest",
        ),
        (
            {"speed_high_kmh": 2},
            "`speed_low_kmh` is left out and taken as 3 and `speed_high_kmh` is 2; the lowest must lie below the "
            "highest",
        ),
        (
            {"speed_low_kmh": 3, "speed_high_kmh": 5, "speed_step_kmh": 3},
            "`speed_low_kmh` is 3, `speed_high_kmh` is 5 and `speed_step_kmh` is 3; a step must fit between lowest "
            "and highest",
        ),
        (
            {"grade_low_pct": 5, "grade_high_pct": 2},
            "`grade_low_pct` is 5 and `grade_high_pct` is 2; the lowest must lie below the highest",
        ),
        (
            {"grade_low_pct": 0, "grade_high_pct": 3, "grade_step_pct": 5},
            "`grade_low_pct` is 0, `grade_high_pct` is 3 and `grade_step_pct` is 5; a step must fit between lowest "
            "and highest",
        ),
        ({"grade_low_pct": -3}, "key `grade_low_pct` is -3; allowed: a number from 0 to 40 %"),
    ],
)
def test_a_belt_that_cannot_be_is_refused_in_words(typed, said):
    assert fill(Treadmill, typed).problems == (said,)


@pytest.mark.parametrize(
    "wrong",
    [
        {"power_step_w": 0.0},
        {"power_low_w": 300.0, "power_high_w": 200.0},
        {"power_low_w": 100.0, "power_high_w": 140.0, "power_step_w": 50.0},
    ],
)
def test_an_ergometer_that_cannot_be_is_refused(wrong):
    with pytest.raises(ValidationError, match="power"):
        Ergometer(**wrong)


def hundredths(low, high):
    return st.integers(low, high).map(lambda n: Decimal(n) / 100)


@given(low=hundredths(0, 600), step=hundredths(5, 200), n=st.integers(1, 60), rest=st.integers(0, 4))
def test_every_speed_of_any_belt_is_a_whole_number_of_steps_above_the_lowest(low, step, n, rest):
    high = min(low + step * n + step * rest / 5, Decimal(60))
    found = belt(speed_low_kmh=float(low), speed_high_kmh=float(high), speed_step_kmh=float(step))
    typed = [Decimal(str(round(3.6 * speed, 6))) for speed in found.speeds_mps.tolist()]
    assert typed == [low + step * i for i in range(len(typed))]
    assert typed[-1] <= high < typed[-1] + step
    assert all(found.has(float(speed) / 3.6, 0.0) for speed in typed)


@given(low=hundredths(0, 600), step=hundredths(5, 200), n=st.integers(1, 20))
def test_a_belt_survives_being_typed(low, step, n):
    typed = {
        "speed_low_kmh": float(low),
        "speed_high_kmh": float(low + step * n),
        "speed_step_kmh": float(step),
    }
    written = typed_values(belt(**typed))
    assert {key: written[key] for key in typed} == typed
    assert belt(**written) == belt(**typed)
