import numpy as np
import pandas as pd
import pytest
from benchmarks.ordinary_sessions import reading_errors
from season_parts import at_heart_rate

from coachlib.errors import BadArgument
from coachlib.measures.output.slopes import HeartRateSlope
from coachlib.measures.recording.lag import OUTPUT_LAG_S, lagged_output
from coachlib.measures.season.heat import Heat, heat_of_session, usual_temperature_c
from coachlib.measures.season.output_level import output_level
from coachlib.measures.season.output_reading import output_reading, refusal_at

T = np.arange(3600.0)
SLOPE = HeartRateSlope(24.0, 0.13 * 24.0)


def level(hr=144.0, output=3.0, used=None, time_s=T, **options):
    n = time_s.size
    hr, output = np.broadcast_to(hr, n).astype(float), np.broadcast_to(output, n).astype(float)
    used = np.ones(n, bool) if used is None else used
    return output_level(time_s, hr, output, used, **({"is_cycling": False} | options))


def read(*, heat=Heat(), is_indoor=False, **options):  # noqa: B008
    return output_reading(
        level(**options), slope=SLOPE.mean, is_cycling=False, is_indoor=is_indoor, heat=heat
    )


def at_140(**options):
    return at_heart_rate(read(**options), hr_reference_bpm=140.0, slope=SLOPE)


def test_a_constant_session_is_exact():
    found = at_140()
    assert found.output == pytest.approx(3.0 - 4.0 / 24.0, abs=1e-9)
    assert found.reading_bpm == pytest.approx(24.0 * 3.0 - 4.0, abs=1e-9)
    assert found.distance_bpm == pytest.approx(4.0)


def test_output_at_the_reference_does_not_depend_on_the_intensity_chosen():
    """Heart rate exactly on the athlete's line."""
    for output in (2.6, 3.0, 3.3):
        assert at_140(hr=140.0 + 24.0 * (output - 3.0), output=output).output == pytest.approx(3.0, abs=1e-6)


def test_one_level_serves_every_reference_and_slope():
    reading = read()
    for reference, slope in ((130.0, 20.0), (150.0, 30.0)):
        found = at_heart_rate(reading, hr_reference_bpm=reference, slope=HeartRateSlope(slope, 5.0))
        assert found.output == pytest.approx(3.0 - (144.0 - reference) / slope)


def test_heat_is_brought_back():
    hot = at_140(hr=144.0 + 5 * 1.1, heat=heat_of_session(26.0, is_indoor=False))
    assert hot.output == pytest.approx(at_140().output, abs=1e-9)
    assert hot.se_bpm > at_140().se_bpm


def test_an_unknown_temperature_is_unknown_out_of_doors_only():
    assert heat_of_session(None, is_indoor=True) == Heat()
    assert heat_of_session(None, is_indoor=False) == Heat(unknown=1.0)


def test_expected_heat_is_the_mean_over_days_about_the_usual_temperature():
    days = np.random.default_rng(1).normal(0, 4.0, 400_000)
    for usual in (18.0, 21.0, 27.0):
        expected = np.maximum(0.0, usual + days - 21.0).mean()
        assert heat_of_session(None, is_indoor=False, usual_c=usual).above_c == pytest.approx(
            expected, abs=0.02
        )


def test_the_usual_temperature_turns_in_its_months_south_of_the_equator_too():
    south = {"coldest_c": 8.0, "warmest_c": 24.0, "warmest_month": 1}
    months = [usual_temperature_c(pd.Timestamp(2026, m, 15).date(), **south) for m in range(1, 13)]
    assert int(np.argmin(months)) + 1 == 7
    assert int(np.argmax(months)) + 1 == 1
    assert min(months) == pytest.approx(8.0, abs=0.1)


def test_only_minutes_10_to_25_count():
    hr = np.where((T >= 600) & (T < 1500), 144.0, 90.0)
    assert read(hr=hr) == read()


def test_unused_samples_cannot_matter():
    used = ~((T >= 700) & (T < 900))
    assert level(hr=np.where(used, 144.0, 250.0), used=used).hr_bpm == pytest.approx(144.0, abs=1e-9)


def test_sparse_records_give_the_same():
    assert level(time_s=T[::4]).hr_bpm == pytest.approx(144.0, abs=1e-9)


def test_the_reading_stretches_to_minute_30_and_says_so():
    found = level(used=~((T >= 600) & (T < 1100)))
    assert (found.stop_s, found.refusal) == (1800.0, None)
    assert level().stop_s == 1500.0


def test_standard_error_names_its_parts():
    """No noise within the session: what remains is day, output, slope and the rest."""
    assert at_140().se_bpm == pytest.approx(
        np.sqrt(2.55**2 + (0.011 * 24 * 3.0) ** 2 + (0.13 * 4.0) ** 2 + 1.2**2), abs=1e-3
    )


def test_lag_agrees_with_an_exponential_mean_of_pandas():
    x = np.random.default_rng(2).normal(3, 0.3, 500)
    expected = pd.Series(x).ewm(alpha=1 - np.exp(-1 / OUTPUT_LAG_S), adjust=False).mean().to_numpy()
    assert np.allclose(lagged_output(np.arange(500.0), x), expected)


def test_stretches_nobody_decided_on_are_left_out_and_too_many_refused():
    odd = (T >= 700) & (T < 880)
    found = level(hr=np.where(odd, 190.0, 144.0), undecided=odd)
    assert found.hr_bpm == pytest.approx(144.0)
    assert found.masked_frac == pytest.approx(0.2)
    refused = level(undecided=(T >= 700) & (T < 940)).refusal
    assert refused.name == "many odd stretches"
    assert refused["masked_frac"] == pytest.approx(240 / 900)


def test_heart_rate_like_cadence_for_most_of_the_minutes_is_refused():
    steps = np.where(T < 1080, 145.0, 170.0)
    assert level(cadence_rpm=steps).refusal.name == "heart rate like cadence"
    assert level(cadence_rpm=np.where(T < 1000, 145.0, 170.0)).refusal is None
    assert level(cadence_rpm=np.full(T.size, np.nan)).refusal is None


def test_hills_come_from_altitude_else_from_uneven_speed():
    grade = 0.03 * np.sin(T / 50)
    known = level(grade=grade)
    inside = grade[(T >= 600) & (T < 1500)]
    assert known.grade_sd == pytest.approx(inside.std())
    assert read(grade=grade).hills_pct == pytest.approx(100 * inside.std())
    uneven = 3.0 * (1 + 0.06 * np.sin(2 * np.pi * T / 300))
    unknown = read(output=uneven)
    assert unknown.hills_pct == pytest.approx(100 * level(output=uneven).scatter_frac - 2.5)
    assert (unknown.is_flat, read(grade=grade).is_flat) == (False, True)
    assert read(output=uneven, is_indoor=True).hills_pct == 0.0
    assert read().hills_pct == 0.0


def test_simulated_readings_keep_their_targets():
    for cycling, limit in ((False, 4.0), (True, 3.8)):
        found = reading_errors(80, 5, cycling=cycling)
        assert found["SD"] <= limit
        assert abs(found["bias at -8"]) <= 2.0
        assert abs(found["bias at +8"]) <= 2.5
        assert 5.0 <= found["response to +6.0"] <= 7.4
        assert abs(found["hot - cool"]) <= 1.5


def test_refusals_say_what_was_found():
    far = refusal_at(read(hr=160.0), hr_reference_bpm=140.0)
    assert (far.name, far["hr_bpm"], far["within_bpm"]) == ("far from the reference", 160.0, 15.0)
    assert refusal_at(read(hr=155.0), hr_reference_bpm=140.0) is None
    unsure = refusal_at(read(hr=144.0 + 25 * np.sin(T / 300)), hr_reference_bpm=140.0)
    assert unsure.name == "reading not sure"
    short = level(time_s=np.arange(720.0))
    assert (short.refusal.name, short.refusal["used_s"], short.hr_bpm) == ("few usable minutes", 120.0, None)
    assert level(output=3.0 + 1.0 * np.sign(np.sin(T / 150))).refusal.name == "minutes not steady"
    with pytest.raises(BadArgument, match=r"this one has 2 usable minutes"):
        read(time_s=np.arange(720.0))
