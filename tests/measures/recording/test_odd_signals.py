"""Signals that cannot be facts are named, and sound ones are not."""

import numpy as np
import pytest

from coachlib.measures.recording.odd_signals import odd_signals
from coachlib.report.words.catalogue import whole

N = 4000
T = np.arange(float(N))
NONE = np.full(N, np.nan)
RNG = np.random.default_rng(5)
HEART = np.round(140 + 4 * np.sin(T / 200) + RNG.normal(0, 1, N))


def found(*, is_indoor=False, time_s=T, **columns):
    names = ("hr_bpm", "speed_mps", "cadence_rpm", "power_w", "altitude_m", "distance_m")
    values = {name: columns.get(name, NONE) for name in names}
    copies = {name: column.copy() for name, column in values.items()}
    odd = odd_signals(time_s, is_indoor=is_indoor, **values)
    for name, column in values.items():
        np.testing.assert_array_equal(column, copies[name])
    for signal in odd:
        assert whole(signal.code).endswith("until you say otherwise.")
    return [(o.quantity, o.code.name, o.span.start_s, o.span.stop_s) for o in odd]


def run(**changes):
    """An hour of even running in hills, with nothing wrong."""
    speed = 3.0 + 0.3 * np.sin(T / 50) + RNG.normal(0, 0.05, N)
    sound = {
        "hr_bpm": HEART,
        "speed_mps": speed,
        "cadence_rpm": np.round(RNG.normal(170, 3, N)),
        "altitude_m": 200 + 60 * np.sin(T / 300) + RNG.normal(0, 0.5, N),
        "distance_m": np.cumsum(speed),
    }
    return {**sound, **changes}


def test_a_sound_run_and_an_empty_one():
    assert found(**run()) == []
    assert found() == []
    assert found(time_s=T[:1], **{k: v[:1] for k, v in run().items()}, power_w=NONE[:1]) == []


@pytest.mark.parametrize(("seconds", "is_told"), [(599, False), (601, True)])
def test_heart_rate_that_stands_still(seconds, is_told):
    stuck = np.where((T >= 1000) & (1000 + seconds > T), 128.0, np.where(HEART == 128, 129, HEART))
    told = [("hr_bpm", "heart rate stuck", 1000.0, 1000.0 + seconds)]
    assert found(**run(hr_bpm=stuck)) == (told if is_told else [])


def test_a_heart_that_rests_is_not_stuck_where_nothing_moves():
    still = run(
        hr_bpm=np.full(N, 61.0), speed_mps=np.zeros(N), cadence_rpm=np.zeros(N), distance_m=np.zeros(N)
    )
    assert [name for _, name, _, _ in found(**still)] == []
    assert found(hr_bpm=np.full(N, 61.0)) == [("hr_bpm", "heart rate stuck", 0.0, 4000.0)]


def test_a_pause_is_no_stretch_of_the_same_heart_rate():
    time_s = np.where(T < 300, T, T + 3000)
    held = np.where(T < 500, 128.0, np.where(HEART == 128, 129, HEART))
    assert found(time_s=time_s, **run(hr_bpm=held)) == []


@pytest.mark.parametrize("period_s", [60, 500])
def test_waves_of_heart_rate(period_s):
    waves = np.round(127.5 + 126.5 * np.sin(2 * np.pi * T / period_s))
    assert [f[:2] for f in found(**run(hr_bpm=waves))] == [("hr_bpm", "heart rate sweeps")]


def test_hard_intervals_are_no_waves():
    intervals = np.round(125 + 60 * np.sin(2 * np.pi * T / 300))
    assert found(**run(hr_bpm=intervals)) == []


def test_an_altitude_that_climbs_impossibly():
    """1,778 m within 3.6 km in 20 min, and a lift of 700 m in ten minutes."""
    climbing = run(altitude_m=1778 * np.minimum(T / 1200, 1), distance_m=0.9 * T, speed_mps=NONE)
    assert found(**climbing) == [("altitude_m", "altitude impossible", 0.0, 4000.0)]
    lift = run(altitude_m=500 + np.clip((T - 1000) * 700 / 600, 0, 700))
    assert [f[0] for f in found(**lift)] == ["altitude_m"]


def test_a_fast_uphill_race_and_noise_are_no_lift():
    """1,000 m up in 35 min over 5 km; a barometer that trembles by a metre."""
    race = run(altitude_m=1000 * np.minimum(T / 2100, 1), distance_m=5000 * T / N, speed_mps=NONE)
    assert found(**race) == []
    assert found(**run(altitude_m=400 + RNG.normal(0, 0.7, N))) == []


def test_a_speed_that_its_distance_gives_the_lie():
    stuck = np.where(T < 1500, 0.0, run()["speed_mps"])
    assert found(**run(speed_mps=stuck)) == [("speed_mps", "speed stuck", 0.0, 1500.0)]


def test_a_belt_holds_its_speed_and_a_road_does_not():
    even = run(speed_mps=np.full(N, 2.78), distance_m=2.78 * T)
    assert found(is_indoor=True, **even) == []
    assert found(is_indoor=False, **even) == [("speed_mps", "speed stuck", 0.0, 4000.0)]


def test_standing_for_hours_while_the_legs_turn():
    trainer = {"hr_bpm": HEART, "speed_mps": np.zeros(N), "power_w": np.full(N, 180.0) + RNG.normal(0, 5, N)}
    assert found(is_indoor=True, **trainer) == [("speed_mps", "speed stuck", 0.0, 4000.0)]
    standing = {"hr_bpm": HEART, "speed_mps": np.zeros(N), "power_w": np.zeros(N)}
    assert found(is_indoor=True, **standing) == []
