"""Thresholds found from simulated series of tests: error and coverage against the hidden truth."""

from benchmarks.threshold_series import by_rule, study


def test_simulated_series_are_covered_and_close():
    """200 hidden athletes of four curve families, maximum unknown, tests placed by habit."""
    for n, (error, _, covered, _) in study(200, 11).items():
        assert error <= {3: 5.0, 4: 3.0, 6: 2.0, 8: 1.7}[n]
        assert 0.85 <= covered <= 0.97


def test_days_that_scatter_twice_as_much_stay_covered():
    for n, (_, _, covered, _) in study(200, 12, day_drift_sd=2.0).items():
        assert 0.82 <= covered <= 0.97, n


def test_tests_placed_by_the_rule_are_close_after_four():
    for n, (error, _, covered, _) in study(100, 13, by_rule, know_max=True, checked=(4, 6)).items():
        assert error <= 2.0
        assert 0.85 <= covered <= 1.0, n
