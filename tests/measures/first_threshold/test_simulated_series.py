"""Thresholds found from simulated series of tests: what is said against the hidden truth."""

import pytest
from benchmarks.threshold_series import (
    MAXIMA,
    at_most,
    by_heart_rate,
    by_rule,
    contradictions,
    medicine,
    moving,
    one_sided,
    study,
)


def test_simulated_series_are_covered_and_close():
    """Hidden athletes of four curve families, maximum unknown, tests placed by habit."""
    for n, (error, _, covered, _) in study(120, 11).items():
        assert error <= {3: 4.8, 4: 2.7, 6: 1.8, 8: 1.5}[n] * 1.15, "few series"
        assert 0.82 <= covered <= 0.99


def test_days_that_scatter_twice_as_much_stay_covered():
    for n, (_, _, covered, _) in study(100, 12, day_drift_sd=2.0).items():
        assert 0.82 <= covered <= 1.0, n


def test_tests_placed_by_the_rule_are_close_after_four():
    for n, (error, _, covered, _) in study(60, 13, by_rule, know_max=True, checked=(4, 6)).items():
        assert error <= 2.0
        assert 0.85 <= covered <= 1.0, n


@pytest.mark.parametrize(
    ("move", "n_tests", "least"),
    [
        ("up 8 steadily", 20, 0.85),
        ("down 8 steadily", 20, 0.85),
        ("up 6 before the last three", 10, 0.78),
        ("down 6 before the last three", 10, 0.78),
    ],
)
def test_a_threshold_that_moved_is_covered(move, n_tests, least):
    covered, _, _ = moving(60, 14, move, n_tests=n_tests)
    assert covered >= least - 0.05, "60 series"


@pytest.mark.parametrize("world", MAXIMA)
@pytest.mark.parametrize("n_tests", [1, 2, 4])
def test_at_least_is_hardly_ever_wrong(world, n_tests):
    statements, wrong, distance = one_sided(60, 15, world, n_tests)
    assert wrong <= 0.07
    if world == "right" and statements >= 30:
        assert distance <= {1: 18, 2: 14, 4: 9}[n_tests] * 1.1


def test_at_most_is_hardly_ever_wrong():
    assert at_most(60, 16)[1] <= 0.07


@pytest.mark.parametrize("told", [True, False])
@pytest.mark.parametrize("n_tests", [1, 4])
def test_medicine(n_tests, told):
    covered, _, wrong = medicine(60, 17, n_tests, told=told)
    assert wrong <= 0.07
    assert covered >= 0.80 or not told


@pytest.mark.parametrize("n_tests", [4, 6])
def test_tests_run_by_heart_rate_are_covered(n_tests):
    assert by_heart_rate(80, 18, n_tests)[0] >= 0.75


def test_contradictions_are_found_and_not_invented():
    assert contradictions(100, 19, n_tests=6) <= 0.04
    assert contradictions(100, 20, n_tests=4, spoilt_pct=8.0) >= 0.65
