import numpy as np
import pytest

from coachlib.errors import TooLittleData
from coachlib.measures.drift_test.constant_output import drift_at_constant_output, drift_meaning
from coachlib.measures.drift_test.drift import heart_rate_drift
from coachlib.measures.output.slopes import (
    CYCLING_SLOPE,
    OWN_CYCLING_SD,
    OWN_RUNNING_SD,
    RUNNING_SLOPE,
    HeartRateSlope,
    joined_slope,
)
from coachlib.measures.recording.lag import lagged_output
from tests.benchmarks.constant_output import study

HOUR = np.arange(3600.0)
ALL = np.ones(3600, dtype=bool)
ENDS = {"start_s": 0.0, "stop_s": 3600.0}
RUNNING = {"slope": RUNNING_SLOPE.mean, "slope_sd": RUNNING_SLOPE.sd}


def noisy(seed=3):
    return np.random.default_rng(seed).normal(0, 1.0, 3600)


def test_constant_output_changes_nothing():
    hr = 150 + HOUR / 900 + noisy()
    plain = heart_rate_drift(HOUR, hr, ALL, **ENDS)
    held = drift_at_constant_output(HOUR, hr, np.full(3600, 3.0), ALL, **ENDS, **RUNNING)
    assert held.drift_pct == plain.drift_pct
    assert held.drift_low_pct == pytest.approx(plain.drift_low_pct, abs=1e-12)
    assert (held.u_pct, held.correction_pct, held.output_change_pct) == (0.0, 0.0, 0.0)


def test_the_formulas_by_hand():
    """Correction and doubt from the half means, where a slower second half explains all of it.

    Treadmill gain 24.2 bpm per m/s (2015, doi 10.1186/s12938-015-0112-7): 5 % slower from 3 m/s is 3.63 bpm.
    """
    seen = np.where(HOUR < 1800, 3.0, 2.85)
    speed = seen.copy()
    hr = 150 + 24.2 * (lagged_output(HOUR, speed) - 3.0)
    held = drift_at_constant_output(HOUR, hr, speed, ALL, **ENDS, slope=24.2, slope_sd=8.0)
    o1, o2 = lagged_output(HOUR, speed)[:1800].mean(), lagged_output(HOUR, speed)[1800:].mean()
    assert held.drift_pct == pytest.approx(0.0, abs=1e-9)
    assert held.correction_pct == pytest.approx(100 * 24.2 * (o1 - o2) / 150.0)
    assert held.correction_pct == pytest.approx(100 * 3.63 / 150, rel=0.04)
    assert held.u_pct == pytest.approx(100 * 8.0 * (o1 - o2) / 150.0)


def test_output_before_the_window_still_counts_by_its_lag():
    """A step at the window's very start is seen 58 s later: without the seconds before it, the first half is off."""
    long_s = np.arange(-600.0, 3600.0)
    speed = np.where(long_s < 0, 2.0, 3.0)
    hr = 150 + 24.2 * (lagged_output(long_s, speed) - 3.0)
    whole = drift_at_constant_output(
        long_s, hr, speed, np.ones(long_s.size, dtype=bool), **ENDS, slope=24.2, slope_sd=8.0
    )
    assert whole.drift_pct == pytest.approx(0.0, abs=1e-3)


def test_own_and_usual_slope_are_joined_by_inverse_variance():
    """Own 20 +- 2 becomes +- sqrt(4 + 16); weights 1/64 and 1/20."""
    joined = joined_slope(RUNNING_SLOPE, HeartRateSlope(20.0, 2.0), own_floor_sd=OWN_RUNNING_SD)
    assert joined.mean == pytest.approx((25.5 / 64 + 20.0 / 20) / (1 / 64 + 1 / 20))
    assert joined.sd == pytest.approx((1 / 64 + 1 / 20) ** -0.5)
    sure = joined_slope(CYCLING_SLOPE, HeartRateSlope(0.3, 0.0), own_floor_sd=OWN_CYCLING_SD)
    assert OWN_CYCLING_SD * 0.9 < sure.sd < OWN_CYCLING_SD


def test_hills_with_altitude_add_doubt_and_hills_without_correct_nothing():
    hr = 150 + 4.0 * (HOUR >= 1800) + noisy()
    flat = np.full(3600, 3.0)
    raw = np.where(HOUR < 1800, 3.1, 2.9)  # the second half lay uphill
    known = drift_at_constant_output(HOUR, hr, flat, ALL, **ENDS, **RUNNING, raw_speed_mps=raw)
    assert known.correction_pct == 0.0
    raw_correction = drift_at_constant_output(HOUR, hr, raw, ALL, **ENDS, **RUNNING).correction_pct
    assert known.u_pct == pytest.approx(0.15 * raw_correction)
    wavy = raw * (1 + 0.15 * np.sin(HOUR / 120))
    unknown = drift_at_constant_output(HOUR, hr, wavy, ALL, **ENDS, **RUNNING, hills_unknown=True)
    assert (unknown.correction_pct, unknown.is_corrected) == (0.0, False)
    would_be = drift_at_constant_output(HOUR, hr, wavy, ALL, **ENDS, **RUNNING).correction_pct
    assert unknown.u_pct == pytest.approx(would_be)
    assert [c.name for c in unknown.caveats] == ["hills not recorded"]
    even = drift_at_constant_output(HOUR, hr, raw, ALL, **ENDS, **RUNNING, hills_unknown=True)
    assert even.is_corrected
    assert even.correction_pct == pytest.approx(raw_correction)


def test_a_change_above_ten_per_cent_is_another_effort():
    hr = 150 + noisy()
    slower = np.where(HOUR < 1800, 3.0, 2.6)
    held = drift_at_constant_output(HOUR, hr, slower, ALL, **ENDS, **RUNNING)
    assert [c.name for c in held.caveats] == ["effort changed"]


def test_output_that_is_hardly_known_is_refused():
    hr = 150 + noisy()
    with pytest.raises(TooLittleData, match="Type the setting in as a stage"):
        drift_at_constant_output(HOUR, hr, np.full(3600, np.nan), ALL, **ENDS, **RUNNING)
    gone = np.where(HOUR < 1200, 3.0, np.nan)
    with pytest.raises(TooLittleData, match="known for 1200 s and 0 s of 1800 s and 1800 s"):
        drift_at_constant_output(HOUR, hr, gone, ALL, **ENDS, **RUNNING)


def meaning(hr, speed=None, *, minutes=60, known=True):
    stop_s = 60.0 * minutes
    plain = heart_rate_drift(HOUR, hr, ALL, start_s=0, stop_s=stop_s)
    held = None
    if speed is not None:
        held = drift_at_constant_output(HOUR, hr, speed, ALL, start_s=0, stop_s=stop_s, **RUNNING)
    return drift_meaning(plain, held, criterion_pct=5.0, setting_known=known)


def test_a_road_test_run_by_the_heart_rate_alarm_is_not_below():
    """True drift 6 % an hour, nine tenths of it hidden by slowing down."""
    hidden = 150 * 0.06 / 1800 * HOUR
    speed = 3.0 - 0.9 * hidden / 27.0
    hr = 146 + hidden + 27.0 * (lagged_output(HOUR, speed) - 3.0) + noisy()
    assert meaning(hr).name == "below"
    assert meaning(hr, speed).name in ("near", "output changed")


def test_where_the_correction_decides_it_cannot_tell():
    hr = 150 + noisy()
    told = meaning(hr, np.where(HOUR < 1800, 3.0, 2.70))
    assert told.name == "near"  # 5 % of correction: the middle lies at the line
    told = meaning(hr, np.where(HOUR < 1800, 3.0, 2.82))
    assert told.name == "output changed"
    assert told["output_change_pct"] == pytest.approx(-5.8, abs=0.3)
    faster = meaning(150 + 14.4 * HOUR / 1800 + noisy(), np.where(HOUR < 1800, 3.0, 3.15))
    assert faster.name == "output changed", "a negative split likewise"


def test_without_output_the_setting_is_asked_for():
    told = meaning(150 + noisy(), known=False)
    assert (told.name, told["if_held"]) == ("setting not known", "below")


def test_a_short_window_carries_no_verdict():
    hr = 150 + noisy()
    assert meaning(hr, minutes=44).name == "too short"
    assert meaning(hr, minutes=45).name == "below"
    assert meaning(hr, minutes=45)["limit_pct"] == pytest.approx(3.75)


@pytest.mark.parametrize("world", ["by heart rate", "fade", "negative split", "ride"])
def test_side_and_interval_are_right_where_output_changes(world):
    cell = study(world, n_runs=40, seed=11)
    assert abs(cell.bias_pct) <= 0.5 + 2 * cell.rmse_pct / 40**0.5
    assert cell.covers >= 0.85
    assert cell.wrong_side <= 0.03


def test_never_below_when_drift_was_hidden():
    assert study("by heart rate", n_runs=40, seed=12, truth_pct=(6.0, 6.5)).below <= 0.03


@pytest.mark.parametrize("world", ["hills, altitude", "hills, no altitude"])
def test_hills_do_not_break_it(world):
    cell = study(world, n_runs=40, seed=13)
    assert cell.rmse_pct <= 1.3
    assert cell.wrong_side <= 0.03
