import numpy as np
import pytest

from coachlib.measures.common.spans import Span
from coachlib.measures.recording.steady import (
    POWER_FLOOR_W,
    SPEED_FLOOR_MPS,
    pauses_with_settling,
    setting_changes,
    suggest_window,
    why_not_steady,
)

T = np.arange(5400.0)


def slow(rng, sd, tau_s, n=T.size):
    """Noise that wanders with a time constant."""
    keep, out, level = np.exp(-1 / tau_s), np.empty(n), 0.0
    for i, step in enumerate(rng.normal(0, sd * np.sqrt(1 - keep**2), n)):
        level = keep * level + step
        out[i] = level
    return out


def speed_of(rng, sensor_sd, *steps):
    """Belt speed [m/s] with steps (second, km/h) under a sensor's noise of some scatter [m/s]."""
    kmh = np.full(T.size, 10.0)
    for at, to in steps:
        kmh[int(at) :] = to
    return kmh / 3.6 + (slow(rng, sensor_sd, 20) if sensor_sd else 0.0)


@pytest.mark.parametrize("step_kmh", [0.5, 1.0, -1.0])
def test_a_belt_number_gives_away_each_change(step_kmh):
    speed = speed_of(np.random.default_rng(1), 0.0, (1500, 10 + step_kmh))
    assert setting_changes(T, speed, floor=SPEED_FLOOR_MPS) == (1500.0,)


def test_a_foot_sensor_gives_away_nine_of_ten_changes_of_half_a_km_h():
    rng = np.random.default_rng(2)
    noisy = [speed_of(rng, 0.03 / 3.6, (2000, 10.5)) + rng.normal(0, 0.15 / 3.6, T.size) for _ in range(20)]
    found = [setting_changes(T, speed, floor=SPEED_FLOOR_MPS) for speed in noisy]
    assert sum(len(f) == 1 and abs(f[0] - 2000) < 30 for f in found) >= 18


def test_a_constant_speed_has_no_changes():
    rng = np.random.default_rng(3)
    found = [setting_changes(T, speed_of(rng, sd), floor=SPEED_FLOOR_MPS) for sd in [0.05] * 10 + [0.1] * 10]
    assert sum(map(len, found)) <= 1


def test_stairs_are_found_in_order():
    power = np.where(T < 1200, 100.0, np.where(T < 2400, 140.0, np.where(T < 3600, 180.0, 150.0)))
    power = power + np.random.default_rng(4).normal(0, 10, T.size)
    assert setting_changes(T, power, floor=POWER_FLOOR_W) == pytest.approx((1200, 2400, 3600), abs=3)


@pytest.mark.parametrize("n", [0, 1, 100])
def test_no_changes_in_next_to_nothing(n):
    assert setting_changes(T[:n], np.full(n, 3.0), floor=SPEED_FLOOR_MPS) == ()
    assert setting_changes(T, np.full(T.size, np.nan), floor=SPEED_FLOOR_MPS) == ()


def test_the_window_begins_a_quarter_of_an_hour_after_the_last_change():
    speed = speed_of(np.random.default_rng(5), 0.0, (600, 11.0))
    window = suggest_window(T, np.full(T.size, 150.0), speed)
    assert (window.start_s, window.stop_s) == (1500, 5100)
    known = suggest_window(T, np.full(T.size, 150.0), changes_s=(300.0,))
    assert (known.start_s, known.stop_s) == (1200, 4800)


def test_the_window_ends_where_the_cool_down_begins():
    speed = speed_of(np.random.default_rng(6), 0.0, (600, 11.0), (4800, 6.0))
    window = suggest_window(T, np.full(T.size, 150.0), speed)
    assert (window.start_s, window.stop_s) == (1500, 4800)


def test_a_long_pause_starts_the_wait_anew_and_a_short_one_does_not():
    hr = np.full(T.size, 150.0)
    long_one = suggest_window(T, hr, pauses=[Span(start_s=500, stop_s=650)])
    short_one = suggest_window(T, hr, pauses=[Span(start_s=500, stop_s=600)])
    assert (long_one.start_s, short_one.start_s) == (650 + 900, 900)


@pytest.mark.parametrize(("pause_s", "cost_s"), [(10, 130), (30, 185), (60, 210), (120, 230)])
def test_four_minutes_after_a_pause_cover_its_cost(pause_s, cost_s):
    """60 ln(drop) s, as simulated."""
    (span,) = pauses_with_settling([Span(start_s=1000, stop_s=1000 + pause_s)])
    assert (span.start_s, span.reason) == (1000, "pause")
    assert span.stop_s - 1000 - pause_s >= cost_s


def why(output, *, pauses=(), window=None, is_power=False, n=T.size):
    window = window or Span(start_s=900, stop_s=4500)
    found = why_not_steady(
        T[:n], None if output is None else output[:n], window=window, pauses=pauses, is_power=is_power
    )
    return None if found is None else found.name


def test_an_even_run_is_steady_and_intervals_are_not():
    assert why(3 + slow(np.random.default_rng(7), 0.1, 60)) is None
    assert why(np.where(T % 480 < 240, 2.5, 4.0)) == "output not steady"


def test_why_a_session_is_not_steady():
    even = np.full(T.size, 3.0)
    stops = [Span(start_s=a, stop_s=a + 50) for a in (1500, 2500, 3500)]
    assert why(even, window=Span(start_s=900, stop_s=2000)) == "steady too short"
    assert why(even, pauses=stops) == "pauses in the stretch"
    assert why(np.full(T.size, np.nan)) == "output missing"


def test_where_nothing_tells_output_only_length_and_pauses_are_looked_at():
    assert why(None) is None


def test_riding_may_scatter_more_than_running():
    rough = 200 + slow(np.random.default_rng(8), 24, 120)
    assert why(rough, is_power=True) is None
    assert why(rough / 66) == "output not steady"
