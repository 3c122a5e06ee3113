"""What heart rate at one setting does over weeks without much change, in open laboratory data.

Cycling step tests of trained men, D. Hammarström, exscidata (public domain): ``cycling_step_tests_cc0.csv``.
"""

import numpy as np
import pytest
from open_laboratory_data import table

from coachlib.measures.first_threshold.heart_rate_line import POWER_SLOPE, POWER_SLOPE_SD
from coachlib.measures.output.slopes import CYCLING_SLOPE
from coachlib.measures.season.weekly_readings import TEST_SD_BPM


@pytest.fixture(scope="module")
def steps():
    return table("cycling_step_tests_cc0.csv").dropna(subset=["hr_bpm", "power_w"])


def lines(steps):
    """Slope [1/min per W] of heart rate on power of each test with at least four steps."""
    tests = [g for _, g in steps.groupby(["subject", "occasion"]) if len(g) >= 4]
    return np.array([np.polyfit(g["power_w"], g["hr_bpm"], 1)[0] for g in tests])


def typical_error(steps, power_w):
    """Typical error [1/min] of heart rate at a power between the last two occasions, four weeks apart."""
    table = steps[steps["power_w"] == power_w].pivot_table(
        index="subject", columns="occasion", values="hr_bpm"
    )
    last, before = table["meso3"], table["meso2"]
    change = (last - before).dropna()
    return float(change.std(ddof=1) / np.sqrt(2)), len(change)


def test_usual_slope_on_power_is_that_of_74_tests(steps):
    found = lines(steps)
    assert found.size > 60
    assert abs(CYCLING_SLOPE.mean - found.mean()) < 0.04
    assert abs(POWER_SLOPE - found.mean()) < 0.04
    assert found.std() < POWER_SLOPE_SD


@pytest.mark.parametrize("power_w", [125, 175, 225])
def test_typical_error_over_four_weeks_is_about_that_of_a_controlled_test_and_no_better(steps, power_w):
    error, n = typical_error(steps, power_w)
    assert n >= 12
    assert 0.7 * TEST_SD_BPM < error < 2.0 * TEST_SD_BPM


def test_a_change_of_three_beats_is_no_news_in_the_laboratory_either(steps):
    error, _ = typical_error(steps, 225)
    # minimum detectable change of two single tests: 1.96 sqrt(2) times the typical error
    assert 1.96 * np.sqrt(2) * error > 6
