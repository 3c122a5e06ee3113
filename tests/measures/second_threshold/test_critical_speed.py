import numpy as np
import pytest
import statsmodels.api as sm
from published_values import load
from scipy.optimize import curve_fit

from coachlib.errors import BadArgument, TooLittleData, UnfitTest
from coachlib.measures.second_threshold.critical_speed import (
    TWO_PARAMETER_FORMS,
    critical_from_output_inverse_time,
    critical_from_time_output,
    critical_from_work_time,
    critical_three_parameter,
)
from coachlib.report.words.catalogue import whole

METRES = np.array([1200.0, 2400.0, 3600.0])
# constructed, not published
EXACT_S = (METRES - 150) / 4.5
NEAR_S = np.array([232.0, 502.0, 770.0])


@pytest.mark.parametrize("form", TWO_PARAMETER_FORMS)
def test_exact_times_give_the_same_answer_in_every_form(form):
    found = form(EXACT_S, METRES)
    assert (found.critical, found.reserve) == pytest.approx((4.5, 150.0), rel=1e-7)
    assert found.critical_high - found.critical_low == pytest.approx(0, abs=1e-5)


@pytest.mark.parametrize(
    ("form", "critical", "reserve"),
    # constructed, not published
    [
        (critical_from_work_time, 4.460946, 163.5791),
        (critical_from_output_inverse_time, 4.455553, 166.0233),
        (critical_from_time_output, 4.468826, 158.5664),
    ],
)
def test_near_times_give_three_legitimate_answers(form, critical, reserve):
    found = form(NEAR_S, METRES)
    assert (found.critical, found.reserve) == (
        pytest.approx(critical, abs=5e-7),
        pytest.approx(reserve, abs=5e-5),
    )


def test_interval_of_the_line_on_time():
    # constructed: standard errors 0.009574 and 5.2404 on one degree of freedom, 95 % +- 0.1217
    found = critical_from_work_time(NEAR_S, METRES, level_frac=0.95)
    assert (found.critical_se, found.reserve_se) == (
        pytest.approx(0.009574, abs=5e-7),
        pytest.approx(5.2404, abs=5e-5),
    )
    assert found.critical_high - found.critical == pytest.approx(0.1217, abs=5e-5)


@pytest.mark.parametrize(
    ("form", "y", "x", "names"),
    [
        (critical_from_work_time, "d", "t", ("reserve", "critical")),
        (critical_from_output_inverse_time, "v", "i", ("critical", "reserve")),
    ],
)
def test_lines_and_intervals_agree_with_a_regression_library(form, y, x, names):
    records = load("track_records_2006")
    t, d = records["time_s"].to_numpy(), records["distance_m"].to_numpy()
    axes = {"d": d, "t": t, "v": d / t, "i": 1 / t}
    fit = sm.OLS(axes[y], sm.add_constant(axes[x])).fit()
    found = form(t, d)
    for name, value, ends in zip(names, fit.params, fit.conf_int(alpha=0.1), strict=True):
        assert getattr(found, name) == pytest.approx(value)
        assert (getattr(found, f"{name}_low"), getattr(found, f"{name}_high")) == pytest.approx(tuple(ends))


def test_hyperbola_agrees_with_curve_fit():
    records = load("track_records_2006")
    t = records["time_s"].to_numpy()
    speed = records["distance_m"].to_numpy() / t
    values, covariance = curve_fit(lambda v, c, r: r / (v - c), speed, t, p0=(6.15, 300.0))
    found = critical_from_time_output(t, speed * t)
    assert (found.critical, found.reserve) == pytest.approx(tuple(values), rel=1e-5)
    assert (found.critical_se, found.reserve_se) == pytest.approx(
        tuple(np.sqrt(np.diag(covariance))), rel=1e-3
    )


@pytest.mark.parametrize(
    ("form", "critical", "reserve"),
    # the same fits on that table with scipy's linear regression and, for the hyperbola, its curve fit; to the
    # digits given
    [
        (critical_from_work_time, 6.1998, 246.5),
        (critical_from_output_inverse_time, 6.2781, 210.9),
        (critical_from_time_output, 6.1591, 285.8),
    ],
)
def test_world_records_in_three_forms(form, critical, reserve):
    records = load("track_records_2006")
    found = form(records["time_s"].to_numpy(), records["distance_m"].to_numpy())
    assert found.critical == pytest.approx(critical, abs=6e-5)
    assert found.reserve == pytest.approx(reserve, abs=0.06)


def test_three_parameters_are_found_again_with_a_warning():
    """Constructed: critical 4.5 m/s, reserve 200 m, highest 9 m/s; two parameters read 2.6 % too high."""
    speed = np.array([4.8, 5.0, 5.3, 5.8, 6.5])
    t = 200 / (speed - 4.5) - 200 / (9 - 4.5)
    found = critical_three_parameter(t, speed * t)
    assert (found.critical, found.reserve, found.highest) == pytest.approx((4.5, 200.0, 9.0), rel=1e-6)
    assert "unstable" in whole(found.caveats[0])
    two = critical_from_work_time(t, speed * t)
    assert (two.critical, two.reserve) == (pytest.approx(4.61558, abs=5e-6), pytest.approx(125.28, abs=5e-3))


def test_three_parameters_agree_with_curve_fit_on_scattered_times():
    rng = np.random.default_rng(4)
    power = np.array([260.0, 275.0, 300.0, 340.0, 400.0, 480.0])
    t = (15000 / (power - 240) - 15000 / (900 - 240)) * np.exp(rng.normal(0, 0.01, power.size))
    values, _ = curve_fit(
        lambda p, c, r, m: r / (p - c) - r / (m - c), power, t, p0=(238, 14000, 800), maxfev=20000
    )
    found = critical_three_parameter(t, power * t)
    assert (found.critical, found.reserve, found.highest) == pytest.approx(tuple(values), rel=1e-3)


@pytest.mark.parametrize("form", TWO_PARAMETER_FORMS)
def test_power_and_the_order_of_trials(form):
    """Truth: 250 W and 18 kJ, five trials in mixed order."""
    power = np.array([300.0, 280.0, 400.0, 275.0, 330.0])
    t = 18000 / (power - 250)
    found = form(t, power * t)
    assert (found.critical, found.reserve) == pytest.approx((250.0, 18000.0), rel=1e-6)


def test_two_trials_have_no_interval_and_short_ones_are_named():
    found = critical_from_work_time(EXACT_S[:2], METRES[:2])
    assert found.critical_low is None
    assert found.reserve_high is None
    assert [whole(c) for c in found.caveats] == ["2 trials fit 2 values exactly; there is no interval."]
    short = critical_from_work_time(np.array([60.0, 300.0]), np.array([400.0, 1500.0]))
    assert "Trials from 60 to 300 s" in whole(short.caveats[-1])


def test_nine_of_ten_intervals_hold_the_built_value():
    """Truth: 4.5 m/s and 150 m; distance run in five fixed times scatters by 12 m."""
    rng = np.random.default_rng(8)
    t = np.array([180.0, 300.0, 420.0, 600.0, 840.0])
    held = 0
    for _ in range(1000):
        found = critical_from_work_time(t, 150 + 4.5 * t + rng.normal(0, 12, 5))
        held += found.critical_low <= 4.5 <= found.critical_high
    assert 0.87 <= held / 1000 <= 0.93


@pytest.mark.parametrize(
    ("t", "d", "error", "sentence"),
    [
        ([300], [1500], TooLittleData, "needs 2 trials of different length; found 1"),
        ([300, 300], [1500, 1510], TooLittleData, "found 1"),
        ([300, -5], [1500, 1510], BadArgument, "above 0 for each trial"),
        ([300, 600], [1500], BadArgument, "a duration and a distance"),
        ([300, 600], [1400, 3000], UnfitTest, "shortest trial must be the fastest"),
        ([300, 600, 900], [1510, 1520, 1500], UnfitTest, "must be above 0; these trials give"),
    ],
)
def test_refusals(t, d, error, sentence):
    with pytest.raises(error, match=sentence):
        critical_from_work_time(np.array(t, dtype=float), np.array(d, dtype=float))


@pytest.mark.parametrize("form", [*TWO_PARAMETER_FORMS, critical_three_parameter])
def test_any_trials_end_in_numbers_or_words(form):
    rng = np.random.default_rng(12)
    refused = 0
    for n in [2, 3, 4, 5, 8] * 40:
        t = rng.uniform(30, 1500, n)
        try:
            found = form(t, t * rng.uniform(3, 6, n))
        except (TooLittleData, UnfitTest):
            refused += 1
            continue
        assert found.critical > 0
        assert found.reserve > 0
        assert found.critical_low is None or np.isfinite(found.critical_low)
    assert 0 < refused < 200


def test_three_parameters_need_four_trials():
    with pytest.raises(TooLittleData, match="needs 4 trials of different length; found 3"):
        critical_three_parameter(NEAR_S, METRES)
