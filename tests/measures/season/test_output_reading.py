import numpy as np
import pandas as pd
import pytest
from benchmarks.ordinary_sessions import end_to_end, reading_errors

from coachlib.errors import BadArgument, TooLittleData, UnfitTest
from coachlib.measures.recording.lag import OUTPUT_LAG_S, lagged_output
from coachlib.measures.season.output_reading import output_at_heart_rate, own_cycling_slope

T = np.arange(3600.0)
OPTIONS = {
    "hr_reference_bpm": 140.0, "slope": 24.0, "slope_is_own": True, "is_cycling": False,
    "temperature_c": 18.0,
}  # fmt: skip


def read(hr=144.0, output=3.0, used=None, time_s=T, **options):
    n = time_s.size
    hr, output = np.broadcast_to(hr, n).astype(float), np.broadcast_to(output, n).astype(float)
    used = np.ones(n, bool) if used is None else used
    return output_at_heart_rate(time_s, hr, output, used, **(OPTIONS | options))


def test_a_constant_session_is_exact():
    found = read()
    assert found.output == pytest.approx(3.0 - 4.0 / 24.0, abs=1e-9)
    assert found.reading_bpm == pytest.approx(24.0 * 3.0 - 4.0, abs=1e-9)
    assert found.distance_bpm == pytest.approx(4.0)


def test_output_at_the_reference_does_not_depend_on_the_intensity_chosen():
    """Heart rate exactly on the athlete's line."""
    for output in (2.6, 3.0, 3.3):
        found = read(hr=140.0 + 24.0 * (output - 3.0), output=output)
        assert found.output == pytest.approx(3.0, abs=1e-6)


def test_heat_is_brought_back():
    hot = read(hr=144.0 + 5 * 1.1, temperature_c=26.0)
    assert hot.output == pytest.approx(read().output, abs=1e-9)
    assert hot.se_bpm > read().se_bpm
    assert "5.5 bpm" in hot.caveats[0]


def test_only_minutes_10_to_25_count():
    hr = np.where((T >= 600) & (T < 1500), 144.0, 90.0)
    assert read(hr=hr).output == read().output


def test_unused_samples_cannot_matter():
    used = ~((T >= 700) & (T < 900))
    hr = np.where(used, 144.0, 250.0)
    assert read(hr=hr, used=used).output == pytest.approx(read().output, abs=1e-9)


def test_sparse_and_shifted_records_give_the_same():
    sparse = T[::4]
    assert read(time_s=sparse).output == pytest.approx(read().output, abs=1e-9)


def test_the_reading_stretches_to_minute_30_and_says_so():
    used = ~((T >= 600) & (T < 1100))
    assert "reaches to minute 30" in read(used=used).caveats[0]


def test_standard_error_names_its_parts():
    """No noise within the session: what remains is day, output, slope and the rest."""
    assert read().se_bpm == pytest.approx(
        np.sqrt(2.55**2 + (0.011 * 24 * 3.0) ** 2 + (0.13 * 4.0) ** 2 + 1.2**2), abs=1e-3
    )
    unknown = read(temperature_c=None, warm_month=True)
    assert unknown.se_bpm**2 - read().se_bpm ** 2 == pytest.approx(4.0)


def test_lag_agrees_with_an_exponential_mean_of_pandas():
    x = np.random.default_rng(2).normal(3, 0.3, 500)
    expected = pd.Series(x).ewm(alpha=1 - np.exp(-1 / OUTPUT_LAG_S), adjust=False).mean().to_numpy()
    assert np.allclose(lagged_output(np.arange(500.0), x), expected)


def test_own_cycling_slope_recovers_the_truth_under_drift_and_days():
    rng = np.random.default_rng(3)
    rides = []
    for _ in range(12):
        power = 190 + 20 * np.sin(T / 500 + rng.uniform(0, 6)) + rng.normal(0, 15, T.size)
        hr = 75 + rng.normal(0, 3) + 0.30 * lagged_output(T, power) + 6 * T / 3600 + rng.normal(0, 1, T.size)
        rides.append((T, hr, power, T >= 0))
    assert own_cycling_slope(*map(list, zip(*rides, strict=True))) == pytest.approx(0.30, rel=0.05)


def test_simulated_readings_keep_their_targets():
    for cycling, limit in ((False, 4.0), (True, 3.8)):
        found = reading_errors(400, 5, cycling=cycling)
        assert found["SD"] <= limit
        assert abs(found["bias at -8"]) <= 1.5
        assert abs(found["bias at +8"]) <= 2.0
        assert 5.4 <= found["response to +6.0"] <= 7.0
        assert abs(found["hot - cool"]) <= 1.0


def test_a_season_of_sessions_tells_twice_the_detectable_change():
    for cycling in (False, True):
        found = end_to_end(12, 6, cycling=cycling)
        assert found["12.2 in 6 by 6"] >= 0.80
        assert found["false likely"] <= 1 / 12
        assert found["SD of a session"] <= 4.0


def test_refusals_say_what_was_found():
    with pytest.raises(UnfitTest, match=r"within 15 bpm of it; this one was at 160 bpm"):
        read(hr=160.0)
    with pytest.raises(UnfitTest, match=r"below the first threshold of 142 bpm; this one was at 144 bpm"):
        read(threshold_bpm=142.0)
    with pytest.raises(
        TooLittleData, match=r"10 usable minutes between minute 10 and 30; this session has 2"
    ):
        read(time_s=np.arange(720.0))
    with pytest.raises(UnfitTest, match=r"minute means vary by \d+ %, at most 8 %"):
        read(output=3.0 + 1.0 * np.sign(np.sin(T / 150)))
    with pytest.raises(BadArgument, match=r"must be above 0; 0 was given"):
        read(slope=0.0)
    with pytest.raises(TooLittleData, match=r"12 steady rides with power; 1 were given"):
        own_cycling_slope([T], [T], [T], [T >= 0])
    with pytest.raises(TooLittleData, match=r"show no such change"):
        own_cycling_slope([T] * 12, [T * 0 + 140] * 12, [T * 0 + 200] * 12, [T >= 0] * 12)
