import numpy as np
import pytest
from scipy.optimize import curve_fit, minimize_scalar

from coachlib.errors import BadArgument, TooLittleData, UnfitTest
from coachlib.measures.second_threshold import lactate
from coachlib.report.words.catalogue import whole

# constructed, not published: no raw stages with published answers were found
SPEED = np.arange(8.0, 16.0)
LACTATE = np.array([1.1, 1.0, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
HEART_RATE = np.array([118.0, 127.0, 136.0, 146.0, 155.0, 164.0, 172.0, 180.0])


@pytest.mark.parametrize(
    ("name", "speed", "kind"),
    [
        ("lactate 2 mmol/l", 11.83333, "first-like"),
        ("lactate 4 mmol/l", 13.50000, "second-like"),
        ("lowest lactate + 0.5 mmol/l", 11.00000, "first-like"),
        ("lowest lactate + 1 mmol/l", 11.83333, "first-like"),
        ("lowest lactate + 1.5 mmol/l", 12.40000, "second-like"),
        ("Dmax", 12.23889, "second-like"),
        ("modified Dmax", 13.16391, "second-like"),
        ("exponential Dmax", 12.52671, "second-like"),
        ("log-log", 10.65225, "first-like"),
    ],
)
def test_constructed_answers(name, speed, kind):
    found = lactate.METHODS[name](SPEED, LACTATE, HEART_RATE)
    assert found.load == pytest.approx(speed, abs=5e-6)
    assert found.kind == kind
    assert found.method == f"{name} 1"


@pytest.mark.parametrize(
    ("name", "hr_bpm"),
    [("lactate 2 mmol/l", 153.5), ("lactate 4 mmol/l", 168.0), ("exponential Dmax", 159.74)],
)
def test_heart_rate_at_the_threshold(name, hr_bpm):
    assert lactate.METHODS[name](SPEED, LACTATE, HEART_RATE).hr_bpm == pytest.approx(hr_bpm, abs=0.005)


def test_exact_cubic_and_exact_exponential():
    """Built truth: 1 + 0.02 (x - 8)³ has its point at 8 + 7/√3; the exponential's depends on its exponent alone."""
    assert lactate.dmax(SPEED, 1 + 0.02 * (SPEED - 8) ** 3).load == pytest.approx(8 + 7 / 3**0.5, abs=1e-9)
    for a, b in ((0.8, 0.002), (1.5, 0.01)):
        found = lactate.exponential_dmax(SPEED, a + b * np.exp(0.5 * SPEED)).load
        assert found == pytest.approx(12.4331486, abs=1e-6)


@pytest.mark.parametrize(("method", "start"), [(lactate.dmax, 0), (lactate.modified_dmax, 3)])
def test_furthest_point_agrees_with_a_search_along_a_library_cubic(method, start):
    cubic = np.polynomial.Polynomial.fit(SPEED, LACTATE, 3)
    slope = (LACTATE[-1] - LACTATE[start]) / (SPEED[-1] - SPEED[start])
    searched = minimize_scalar(
        lambda x: cubic(x) - slope * x,
        bounds=(SPEED[start], SPEED[-1]),
        method="bounded",
        options={"xatol": 1e-9},
    )
    assert method(SPEED, LACTATE).load == pytest.approx(searched.x, abs=1e-5)


def test_exponential_agrees_with_curve_fit():
    (a, _, c), _ = curve_fit(lambda x, a, b, c: a + b * np.exp(c * (x - 8)), SPEED, LACTATE, p0=(1, 0.1, 0.5))
    # constructed: a .81957, c .561314
    assert (a, c) == (pytest.approx(0.81957, abs=5e-6), pytest.approx(0.561314, abs=5e-7))
    chord = np.log((np.exp(7 * c) - 1) / (7 * c)) / c
    assert lactate.exponential_dmax(SPEED, LACTATE).load == pytest.approx(8 + chord, abs=1e-5)


def test_a_rise_of_exactly_four_tenths_counts_in_spite_of_binary_arithmetic():
    assert 1.5 - 1.1 < 0.4
    assert lactate.start_stage(np.array([1.2, 1.1, 1.5, 2.0, 3.1])) == 1
    assert lactate.start_stage(np.array([1.2, 1.1, 1.49, 2.0, 3.1])) == 2


def test_the_last_crossing_upwards_counts():
    nervous = np.array([2.6, 1.4, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    assert lactate.fixed_lactate(SPEED, nervous, level=2.0).load == pytest.approx(11.83333, abs=5e-6)
    twice = np.array([1.0, 2.4, 1.2, 1.5, 2.1, 3.1, 4.9, 7.8])
    assert lactate.fixed_lactate(SPEED, twice, level=2.0).load == pytest.approx(11.83333, abs=5e-6)


@pytest.mark.parametrize("method", lactate.METHODS.values(), ids=list(lactate.METHODS))
def test_watts_and_a_missing_reading_change_nothing(method):
    """Loads times 20 give thresholds times 20; a stage without lactate is as if it were not there."""
    usual = method(SPEED, LACTATE, HEART_RATE)
    assert method(20 * SPEED, LACTATE, None).load == pytest.approx(20 * usual.load, rel=1e-6)
    gap = method(np.append(SPEED, 16.0), np.append(LACTATE, np.nan), np.append(HEART_RATE, 186.0))
    assert gap.load == pytest.approx(usual.load)
    assert gap.hr_bpm == pytest.approx(usual.hr_bpm)


def test_all_methods_side_by_side_with_their_spread():
    test = lactate.all_methods(SPEED, LACTATE, HEART_RATE)
    assert len(test.thresholds) == 9
    assert test.refused == test.warnings == test.caveats == ()
    spread = (test.first_low_load, test.first_high_load, test.second_low_load, test.second_high_load)
    assert spread == pytest.approx((10.65225, 11.83333, 12.23889, 13.5), abs=5e-6)


def test_a_short_test_names_the_methods_that_found_nothing_and_the_slips():
    test = lactate.all_methods(
        np.array([175.0, 225.0, 275.0]), np.array([7.9, 1.4, 2.6]), np.array([130.0, 145.0, 160.0])
    )
    assert "Dmax: this method needs 5 stages with lactate; found 3. Use another method." in map(
        whole, test.refused
    )
    assert [whole(c) for c in test.caveats] == ["3 stages are few for a curve; 6 or more are usual."]
    assert [(c.name, c["what"], c["stage"]) for c in test.warnings] == [
        ("stage below the one before", "lactate", 1)
    ]
    assert test.second_high_load is None


def test_heart_rate_is_left_out_where_none_was_taken():
    rates = np.where(SPEED < 12, HEART_RATE, np.nan)
    found = lactate.fixed_lactate(SPEED, LACTATE, rates, level=4.0)
    assert found.hr_bpm is None
    assert [whole(c) for c in found.caveats] == ["Heart rate was not taken around this load."]


@pytest.mark.parametrize(
    ("call", "error", "sentence"),
    [
        (
            lambda: lactate.fixed_lactate(SPEED, LACTATE, level=9.0),
            UnfitTest,
            "does not cross 9 mmol/l upwards",
        ),
        (lambda: lactate.dmax(SPEED[:4], LACTATE[:4]), TooLittleData, "needs 5 stages with lactate; found 4"),
        (
            lambda: lactate.dmax(SPEED[::-1], LACTATE),
            BadArgument,
            "loads of a step test must rise; found 15, 14",
        ),
        (lambda: lactate.dmax(SPEED, LACTATE - 1.0), BadArgument, "above 0 mmol/l; found 0"),
        (lambda: lactate.dmax(SPEED, LACTATE[:5]), BadArgument, "found 8 and 5"),
        (
            lambda: lactate.dmax(SPEED, LACTATE, HEART_RATE[:5]),
            BadArgument,
            "one heart rate a stage; found 5 for 8",
        ),
        (lambda: lactate.modified_dmax(SPEED, np.linspace(1, 1.7, 8)), UnfitTest, "the largest is 0.1"),
        (lambda: lactate.dmax(SPEED, np.log(SPEED)), UnfitTest, "does not sag below the line from 8 to 15"),
        (lambda: lactate.exponential_dmax(SPEED, np.log(SPEED)), UnfitTest, "does not bend upwards"),
        (lambda: lactate.exponential_dmax(SPEED, 9 - LACTATE), UnfitTest, "does not bend upwards"),
        (lambda: lactate.log_log(SPEED - 8, LACTATE), BadArgument, "loads above 0; found 0"),
        (
            lambda: lactate.log_log(SPEED, 10 - np.exp(9 - SPEED)),
            UnfitTest,
            "do not bend upwards between the loads 8 and 15",
        ),
        (lambda: lactate.all_methods(SPEED[::-1], LACTATE), BadArgument, "must rise; found 15, 14"),
        (lambda: lactate.all_methods(SPEED, np.full(8, 1.0)), UnfitTest, "no method finds a threshold"),
    ],
)
def test_refusals(call, error, sentence):
    with pytest.raises(error, match=sentence):
        call()
