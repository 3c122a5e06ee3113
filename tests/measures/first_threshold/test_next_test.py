import numpy as np
import published_values
import pytest
from scipy import stats

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.common.constants import DAY_HR_SD_BPM
from coachlib.measures.first_threshold.drift_series import drift_series
from coachlib.measures.first_threshold.estimate import FittedSeries, estimate_first_threshold
from coachlib.measures.first_threshold.heart_rate_line import (
    DEMAND_SLOPE,
    DEMAND_SLOPE_SD,
    heart_rate_line,
    output_at_threshold,
)
from coachlib.measures.first_threshold.machine_settings import settings_by_power, settings_on_treadmill
from coachlib.measures.first_threshold.next_test import propose_next_test, target_heart_rate

# common practice, no source: oxygen demand and first-half heart rate of four tests
DEMAND, HR = (list(published_values.load("practice_demands")[c].astype(float)) for c in ("vo2", "first_bpm"))


def propose(hr, drift, se, *, hr_max_bpm=None, **options):
    return propose_next_test(FittedSeries(drift_series(hr, drift, se, hr_max_bpm=hr_max_bpm)), **options)


def line(n=4, **options):
    return heart_rate_line(
        DEMAND[:n],
        HR[:n],
        prior_slope=DEMAND_SLOPE,
        prior_slope_sd=DEMAND_SLOPE_SD,
        hr_max_bpm=190.0,
        **options,
    )


def test_conjugate_update_agrees_with_a_brute_force_grid():
    found = line()
    centre = np.mean(DEMAND)
    level = np.linspace(found.level_bpm - 12, found.level_bpm + 12, 401)[:, None]
    slope = np.linspace(0.2, 4.2, 401)[None, :]
    log_p = stats.norm.logpdf(level, 0.8 * 190, 15) + stats.norm.logpdf(slope, DEMAND_SLOPE, DEMAND_SLOPE_SD)
    for x, y in zip(DEMAND, HR, strict=True):
        log_p = log_p + stats.norm.logpdf(y, level + slope * (x - centre), DAY_HR_SD_BPM)
    p = np.exp(log_p - log_p.max())
    p /= p.sum()
    mean_level, mean_slope = (p * level).sum(), (p * slope).sum()
    sd_level = np.sqrt((p * (level - mean_level) ** 2).sum())
    sd_slope = np.sqrt((p * (slope - mean_slope) ** 2).sum())
    correlation = (p * (level - mean_level) * (slope - mean_slope)).sum() / (sd_level * sd_slope)
    assert found.level_bpm == pytest.approx(mean_level, abs=1e-3)
    assert found.slope == pytest.approx(mean_slope, abs=1e-3)
    assert found.level_sd_bpm == pytest.approx(sd_level, abs=1e-2)
    assert found.slope_sd == pytest.approx(sd_slope, abs=1e-2)
    assert found.correlation == pytest.approx(correlation, abs=1e-2)


def test_practice_settings_predict_the_fourth_test():
    """Three tests predict about 170 bpm for the fourth (common practice, no source; 163 was measured)."""
    found = line(3)
    assert float(found.at(52.7)) == pytest.approx(170, abs=4)
    assert float(found.sd_at(52.7)) > DAY_HR_SD_BPM


def test_a_hot_test_counts_for_less():
    hot = line(3, temperature_c=[21.0, 21.0, 31.0])
    assert float(hot.at(52.7)) < float(line(3).at(52.7))


def test_many_tests_recover_slope_and_level():
    x = np.linspace(30, 55, 60)
    found = heart_rate_line(x, 60 + 2.0 * x, prior_slope=DEMAND_SLOPE, prior_slope_sd=DEMAND_SLOPE_SD)
    assert found.slope == pytest.approx(2.0, abs=0.02)
    assert float(found.at(40.0)) == pytest.approx(140.0, abs=0.2)


def test_target_is_the_lowest_of_three_rules():
    low = estimate_first_threshold([140.0], [0.5], [0.5], hr_max_bpm=190)
    target, rule = target_heart_rate(low, last_bpm=140.0)
    assert (target, rule.name) == (152.0, "aim one step up")
    known = estimate_first_threshold([150, 155, 160], [2.0, 4.8, 7.0], [0.3] * 3)
    assert target_heart_rate(known, last_bpm=160.0)[0] == known.hr_bpm
    assert target_heart_rate(known, last_bpm=160.0, hr_max_bpm=165)[0] == pytest.approx(151.8)


def test_treadmill_settings_meet_the_target_on_the_machines_grid():
    speeds, grades = np.arange(20, 40) / 3.6 / 2, np.arange(0, 13) / 100
    found = settings_on_treadmill(
        line(), target_bpm=160.0, speeds_mps=speeds, grades=grades, last_speed_mps=speeds[6], last_grade=0.05
    )
    assert found.speed_mps in speeds
    assert found.grade in grades
    assert abs(found.predicted_bpm - 160.0) < 2.5
    assert found.predicted_low_bpm < found.predicted_bpm < found.predicted_high_bpm


def test_few_changes_are_preferred():
    """With settings that already meet the target, they stay."""
    speeds, grades = np.array([2.4, 2.6, 2.8, 3.0]), np.array([0.02, 0.04, 0.06])
    fitted = line()
    here = settings_on_treadmill(
        fitted, target_bpm=150.0, speeds_mps=[2.8], grades=[0.04], last_speed_mps=2.8, last_grade=0.04
    )
    found = settings_on_treadmill(
        fitted,
        target_bpm=here.predicted_bpm,
        speeds_mps=speeds,
        grades=grades,
        last_speed_mps=2.8,
        last_grade=0.04,
    )
    assert (found.speed_mps, found.grade) == (2.8, 0.04)


def test_power_on_the_ergometers_grid():
    fitted = heart_rate_line([180.0, 200.0], [134, 141], prior_slope=0.34, prior_slope_sd=0.1)
    found = settings_by_power(fitted, target_bpm=150.0, powers_w=np.arange(100, 400, 5))
    assert found.power_w % 5 == 0
    assert abs(found.predicted_bpm - 150) < 1.0


def test_output_at_threshold_lies_on_the_line():
    threshold = estimate_first_threshold([150, 155, 160], [2.0, 4.8, 7.0], [0.3] * 3)
    found = output_at_threshold(line(), threshold)
    assert float(line().at(found.value)) == pytest.approx(threshold.hr_bpm)
    assert found.low < found.value < found.high


def test_the_expected_width_shrinks_and_enough_is_said_in_the_end():
    few = propose([150, 158], [1.0, 4.0], [0.5, 0.5], hr_max_bpm=190)
    assert few.width_after_bpm < few.width_now_bpm - 1.0
    assert not few.enough
    hr = np.tile([152.0, 156.0, 160.0, 164.0], 5)
    many = propose(hr, 0.5 * (hr - 148), np.full(20, 0.4), hr_max_bpm=190)
    assert many.enough


def test_no_enough_while_only_a_lower_bound_is_known():
    hr = np.tile([140.0, 144.0], 8)
    assert not propose(hr, np.zeros(16), np.full(16, 0.3), hr_max_bpm=190).enough


def test_two_tests_that_contradict_each_other_are_repeated_at_that_setting():
    plan = propose([150.0, 150.0], [8.0, 1.0], [0.5, 0.5], hr_max_bpm=190)
    assert (plan.target_bpm, plan.target_from.name, plan.enough) == (150.0, "aim at the contradiction", False)


def test_no_cap_from_a_maximum_under_medicine():
    told = {"hr_max_bpm": 120.0, "medicine": True}
    fitted = FittedSeries(drift_series([112.0], [1.0], [0.5], **told))
    assert propose_next_test(fitted).target_bpm > 0.92 * 120
    assert propose([112.0], [1.0], [0.5], hr_max_bpm=120.0).target_bpm == pytest.approx(0.92 * 120)


def test_rest_is_longer_after_a_hard_test_and_has_a_reason():
    easy = propose([150.0], [2.0], [0.5])
    hard = propose([170.0], [9.0], [0.5])
    assert hard.rest_days > easy.rest_days
    assert (hard.rest_from.name, hard.rest_from["drift_pct"]) == ("rest after a hard test", 9.0)
    assert easy.rest_from.name == "rest after a test"


def test_a_machine_that_ends_too_early_is_said():
    plan = propose(
        HR[:3], [0.0, 0.0, 1.25], [0.5] * 3, line=line(3), speeds_mps=[2.0, 2.1], grades=[0.0],
        last_speed_mps=2.1, last_grade=0.0,
    )  # fmt: skip
    assert plan.caveats[0].name == "machine misses the aim"


def test_refusals_say_what_is_missing():
    with pytest.raises(TooLittleData, match=r"at least 1 test with known settings; 0 were given"):
        heart_rate_line([], [], prior_slope=2.2, prior_slope_sd=0.45)
    with pytest.raises(BadArgument, match=r"at least one power"):
        settings_by_power(line(), target_bpm=150.0, powers_w=[])
    with pytest.raises(BadArgument, match=r"at least one belt speed and one grade"):
        settings_on_treadmill(
            line(), target_bpm=150.0, speeds_mps=[], grades=[0.0], last_speed_mps=3.0, last_grade=0.0
        )
    with pytest.raises(BadArgument, match=r"last test's belt speed and grade"):
        propose([150.0], [2.0], [0.5], line=line(), speeds_mps=[3.0], grades=[0.0])
