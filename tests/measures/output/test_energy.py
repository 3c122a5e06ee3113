import numpy as np
import pytest
from numpy.polynomial import Polynomial
from published_values import load
from scipy.optimize import minimize_scalar

from coachlib.errors import BadArgument
from coachlib.measures.output import energy, treadmill

MPH = 26.8 / 60  # the equations' own convention: 26.8 m/min


@pytest.mark.parametrize("row", list(load("minetti_2002").itertuples()), ids=lambda r: f"{r.grade:+.2f}")
def test_running_cost_lies_within_the_measured_scatter(row):
    assert abs(energy.running_cost_minetti(row.grade) - row.cost) <= row.sd


def test_the_polynomial_fits_its_table_as_printed():
    # Minetti et al. 2002 print R² = 0.999 (from memory)
    table = load("minetti_2002_table")
    fitted = energy.running_cost_minetti(table["grade"].to_numpy())
    rest = ((table["cost"] - fitted) ** 2).sum() / ((table["cost"] - table["cost"].mean()) ** 2).sum()
    assert round(1 - rest, 3) == 0.999


def test_cost_equals_numpys_polynomial_and_has_its_minimum_where_scipy_finds_it():
    running = Polynomial(energy.RUNNING_COST[::-1])
    grades = np.linspace(-0.45, 0.45, 91)
    np.testing.assert_allclose(energy.running_cost_minetti(grades), running(grades), rtol=1e-12)
    lowest = minimize_scalar(energy.running_cost_minetti, bounds=(-0.3, 0), method="bounded")
    assert lowest.x == pytest.approx(-0.18135, abs=1e-4)
    assert lowest.fun == pytest.approx(1.78127, abs=1e-5)


def test_too_steep_is_refused_with_the_grade_found():
    with pytest.raises(BadArgument, match=r"from -0\.45 to 0\.45 .* found 5\.00"):
        energy.running_cost_minetti(5.0)


@pytest.mark.parametrize(
    ("speed_mps", "grade", "flat_mps"),
    # arithmetic on the published coefficients, C(0) = 3.6
    [
        (10 / 3.6, 0.05, 13.0144 / 3.6),
        (10 / 3.6, -0.05, 7.6276 / 3.6),
        (2.5, 0.1, 4.14459),
        (3.0, -0.1, 1.79309),
    ],
)
def test_flat_equivalent_speed(speed_mps, grade, flat_mps):
    found = energy.flat_equivalent_speed(np.array([speed_mps]), np.array([grade]))
    assert found[0] == pytest.approx(flat_mps, rel=1e-5)


def test_flat_equivalent_speed_is_speed_on_the_level_and_never_negative():
    speed = np.array([3.0, 3.0, 3.0])
    found = energy.flat_equivalent_speed(speed, np.array([0.0, -0.9, 0.9]))
    assert found[0] == 3.0
    assert (found > 0).all()


@pytest.mark.parametrize("row", list(load("acsm_examples").itertuples()), ids=lambda r: f"{r.mode} {r.mph}")
def test_acsm_examples_as_printed(row):
    equation = {"walk": energy.vo2_walking_acsm, "run": energy.vo2_running_acsm}[row.mode]
    printed = str(row.vo2)
    half_digit = 0.5 * 10 ** -len(printed.partition(".")[2])
    assert abs(equation(row.mph * MPH, row.grade) - row.vo2) <= half_digit + 1e-9


def test_acsm_cycling_as_printed():
    # docsbay.net in-class metabolic calculations: 86.36 kg, 840 kgm/min, printed 24.51 by 7 + 1.8 W/M;
    # the form in watts, 10.8 P/M, lies 2 % of the second term lower (10.8 for 1.8 x 6.1183)
    by_watts = energy.vo2_cycling_acsm(840 / 6.1183, 86.36)
    assert by_watts == pytest.approx(7 + (24.51 - 7) * 10.8 / 11.013, abs=0.01)


@pytest.mark.parametrize(
    ("kmh", "grade", "minutes", "exact_m"),
    # geometry: belt length times the sine of the belt's angle
    [(10, 0.05, 30, 249.688), (12, 0.01, 60, 119.994), (5, 0.15, 60, 741.702), (8, 0.4, 10, 495.188)],
)
def test_treadmill_climb(kmh, grade, minutes, exact_m):
    belt = kmh / 3.6 * minutes * 60
    assert treadmill.climb(belt, grade) == pytest.approx(exact_m, abs=1e-3)


def test_an_hour_at_ten_and_six_per_cent_climbs_about_six_hundred_metres():
    # common practice, no source
    assert treadmill.climb(10_000, 0.06) == pytest.approx(600, abs=2)


def test_climb_counts_rises_and_not_the_wander_of_a_barometer():
    rng = np.random.default_rng(5)
    up_and_down = np.concatenate(
        (np.linspace(100, 300, 2000), np.linspace(300, 150, 2000), np.linspace(150, 260, 1500))
    )
    found = energy.climb_m(up_and_down + rng.normal(0, 0.3, up_and_down.size))
    assert found == pytest.approx(310, abs=5)
    assert energy.climb_m(100 + rng.normal(0, 0.3, 3600)) == 0.0


def test_smoothed_grade_finds_a_known_slope_and_says_nothing_where_nothing_is_known():
    way = np.arange(0.0, 3000.0, 3.0)
    height = np.where(way < 1500, 0.04 * way, 60 - 0.06 * (way - 1500)).round(1)
    grade = energy.smoothed_grade(np.arange(way.size, dtype=float), way, height)
    assert grade[250] == pytest.approx(0.04, abs=0.003)
    assert grade[750] == pytest.approx(-0.06, abs=0.003)
    assert np.isnan(energy.smoothed_grade(np.arange(3.0), np.full(3, np.nan), np.ones(3))).all()
