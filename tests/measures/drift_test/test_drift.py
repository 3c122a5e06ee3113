import numpy as np
import pandas as pd
import pytest
import statsmodels.api as sm
from benchmarks.runs import steady_run
from hypothesis import given, settings
from hypothesis import strategies as st
from published_values import load

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.drift_test.drift import (
    MIN_USED_S,
    drift_map,
    heart_rate_drift,
    scaled_criterion_pct,
)

HOUR = np.arange(3600.0)
ALL = np.ones(3600, dtype=bool)


def drift_of(time_s, hr_bpm, used=None, *, start_s=0.0, stop_s=3600.0):
    used = np.ones(time_s.size, dtype=bool) if used is None else used
    return heart_rate_drift(time_s, hr_bpm, used, start_s=start_s, stop_s=stop_s)


@pytest.mark.parametrize("row", list(load("half_means").itertuples()), ids=str)
def test_half_means_of_common_practice(row):
    found = drift_of(HOUR, np.where(HOUR < 1800, float(row.first_bpm), float(row.second_bpm)))
    assert (found.first_half_bpm, found.second_half_bpm) == (row.first_bpm, row.second_bpm)
    assert found.drift_pct == pytest.approx(row.drift_pct, abs=0.005)


def test_a_straight_rise_sampled_in_the_middle_of_each_second():
    """HR = 140 + 0.1 t/min: halves 141.5 and 144.5, so 3/141.5."""
    t = HOUR + 0.5
    found = drift_of(t, 140 + t / 600)
    assert found.first_half_bpm == pytest.approx(141.5, abs=1e-9)
    assert found.second_half_bpm == pytest.approx(144.5, abs=1e-9)
    assert found.drift_pct == pytest.approx(100 * 3 / 141.5, abs=1e-6)
    assert found.slope_drift_pct == pytest.approx(found.drift_pct, abs=1e-6)
    assert found.caveats == ()


@pytest.mark.parametrize(("start", "slope"), [(130, 0.2222), (140, 0.2393), (150, 0.2564)])
def test_slopes_that_give_five_per_cent_in_an_hour(start, slope):
    """From the definition: slope T/2 = 0.05 (start + slope T/4); four printed digits."""
    t = HOUR + 0.5
    assert drift_of(t, start + slope * t / 60).drift_pct == pytest.approx(5.0, abs=0.003)


def test_a_saturating_rise():
    """135 + 15 (1 - exp(-t / 20 min)): the integral of each half gives 4.243 %."""
    t = HOUR + 0.5
    found = drift_of(t, 135 + 15 * (1 - np.exp(-t / 1200)))
    assert found.drift_pct == pytest.approx(4.243, abs=0.001)
    assert abs(found.slope_drift_pct - found.drift_pct) < 1.0


def test_half_means_equal_minutes_15_and_45_of_a_straight_rise():
    t = HOUR + 0.5
    hr = 140 + t / 500
    found = drift_of(t, hr)
    assert found.first_half_bpm == pytest.approx(np.interp(900, t, hr))
    assert found.second_half_bpm == pytest.approx(np.interp(2700, t, hr))


def test_difference_of_halves_is_a_regression_on_a_dummy():
    """Independent check: ordinary least squares by statsmodels."""
    run = steady_run(np.random.default_rng(2), minutes=60, drift_pct=4.0)
    fit = sm.OLS(run.hr_bpm, sm.add_constant((HOUR >= 1800).astype(float))).fit()
    found = drift_of(HOUR, run.hr_bpm)
    assert found.second_half_bpm - found.first_half_bpm == pytest.approx(fit.params[1], abs=1e-9)
    assert found.first_half_bpm == pytest.approx(fit.params[0], abs=1e-9)


def test_means_agree_with_pandas_on_an_uneven_recording():
    """Independent check: repeat each value once a second with pandas and take plain means."""
    rng = np.random.default_rng(3)
    t = np.concatenate(([0.0], np.cumsum(rng.integers(1, 9, 1200)).astype(float)))
    hr = 150 + 5 * np.sin(t / 400) + rng.normal(0, 1, t.size)
    stop = float(t[-1] - 9)
    middle = t[np.searchsorted(t, stop / 2)]
    window = {"start_s": 2 * middle - t[np.searchsorted(t, stop)], "stop_s": t[np.searchsorted(t, stop)]}
    window["start_s"] = t[np.searchsorted(t, window["start_s"])]
    even = pd.Series(hr, index=t).reindex(np.arange(t[-1])).ffill()
    halves = even.loc[window["start_s"] : middle - 1], even.loc[middle : window["stop_s"] - 1]
    found = heart_rate_drift(t, hr, t >= 0, start_s=window["start_s"], stop_s=window["stop_s"])
    mid = (window["start_s"] + window["stop_s"]) / 2
    # samples that straddle the middle belong to the half they begin in
    assert abs(mid - middle) < 10
    assert found.first_half_bpm == pytest.approx(halves[0].mean(), abs=0.03)
    assert found.second_half_bpm == pytest.approx(halves[1].mean(), abs=0.03)


def test_a_hole_does_not_move_the_middle():
    """Eight minutes left out of the first half of an even rise: split by time, not by rows."""
    t = HOUR + 0.5
    hr = 140 + t / 300
    used = ~((t > 600) & (t < 1080))
    found = drift_of(t, hr, used)
    first, second = used & (t < 1800), used & (t >= 1800)
    assert found.drift_pct == pytest.approx(100 * (hr[second].mean() / hr[first].mean() - 1), abs=1e-9)
    assert found.used_s == 3120
    assert found.used_pct == pytest.approx(100 * 3120 / 3600)


def newey_west(rest, x, lags, correction):
    """Standard errors of a regression with correlated residuals, written out."""
    n, k = x.shape
    moments = x * rest[:, None]
    middle = moments.T @ moments
    for lag in range(1, lags + 1):
        cross = moments[lag:].T @ moments[:-lag]
        middle += (1 - lag / (lags + 1)) * (cross + cross.T)
    bread = np.linalg.inv(x.T @ x)
    return np.sqrt(np.diag(bread @ middle @ bread) * (n / (n - k) if correction else 1.0))


def test_the_usual_correction_for_correlated_noise_as_published():
    """The yardstick of the next test itself, against printed numbers."""
    printed = load("newey_west_1987").set_index("term")
    data = sm.datasets.macrodata.load_pandas().data
    growth = 400 * np.log(data[["realinv", "realgdp"]]).diff()
    x = sm.add_constant(
        pd.DataFrame({"realgdp": growth["realgdp"], "realint": data["realint"].shift()}).iloc[1:]
    )
    fit = sm.OLS(growth["realinv"].iloc[1:], x).fit()
    se = pd.Series(newey_west(fit.resid.to_numpy(), x.to_numpy(), 4, True), index=x.columns)
    for term, row in printed.iterrows():
        assert fit.params[term] == pytest.approx(row["coefficient"], abs=5e-10)
        assert se[term] == pytest.approx(row["se"], abs=5e-10)


def test_the_interval_is_wider_than_independent_samples_or_a_textbook_lag_have_it():
    run = steady_run(np.random.default_rng(4), minutes=60, drift_pct=3.0)
    x = sm.add_constant((HOUR >= 1800).astype(float))
    fit = sm.OLS(run.hr_bpm, x).fit()
    found = drift_of(HOUR, run.hr_bpm)
    per_pct = 100 / found.first_half_bpm
    assert found.se_pct > 1.2 * newey_west(fit.resid, x, 8, False)[1] * per_pct
    assert found.se_pct > 4 * fit.bse[1] * per_pct


def test_the_interval_covers_about_what_it_promises():
    """Built truth; 80 to 97 of 100 for a nominal 90 %.  The benchmark has the exact figures."""
    rng = np.random.default_rng(5)
    runs = [steady_run(rng, minutes=60) for _ in range(100)]
    found = [drift_of(r.time_s, r.hr_bpm) for r in runs]
    held = [f.drift_low_pct <= r.drift_pct <= f.drift_high_pct for f, r in zip(found, runs, strict=True)]
    assert 80 <= sum(held) <= 97
    error = [f.drift_pct - r.drift_pct for f, r in zip(found, runs, strict=True)]
    assert np.sqrt(np.mean(np.square(error))) < 0.6


def test_day_to_day_scatter_makes_the_wider_interval():
    found = drift_of(HOUR, steady_run(np.random.default_rng(6), minutes=60).hr_bpm)
    reach = 1.645 * np.hypot(found.se_pct, 1.0)
    assert found.day_high_pct - found.drift_pct == pytest.approx(reach)
    assert found.drift_pct - found.day_low_pct == pytest.approx(reach)


@pytest.mark.parametrize(("minutes", "share"), [(20, 1.67), (30, 2.5), (40, 3.33), (60, 5.0)])
def test_the_criterion_shrinks_with_the_window(minutes, share):
    assert scaled_criterion_pct(5.0, 60.0 * minutes) == pytest.approx(share, abs=0.005)


def test_halves_and_line_that_disagree_are_said():
    """A jump at the very end pulls the line more than the halves."""
    hr = np.where(HOUR < 3000, 150.0, 170.0)
    found = drift_of(HOUR, hr)
    assert abs(found.slope_drift_pct - found.drift_pct) > 1
    (said,) = found.caveats
    assert said.name == "halves and line differ"
    assert said["halves_pct"] == found.drift_pct
    assert said["line_pct"] == found.slope_drift_pct
    assert abs(said["halves_pct"] - said["line_pct"]) > said["within_pct"]


def test_too_little_is_refused_in_words():
    used = HOUR > 1600
    with pytest.raises(
        TooLittleData, match=r"needs 300 s of usable heart rate in each half; .* has 199 s and 1800 s"
    ):
        drift_of(HOUR, np.full(3600, 150.0), used)
    assert MIN_USED_S == 600


def test_a_window_inside_out_is_refused():
    with pytest.raises(BadArgument, match="found start 600 s and stop 600 s"):
        drift_of(HOUR, np.full(3600, 150.0), start_s=600, stop_s=600)


@settings(max_examples=40, deadline=None)
@given(
    seed=st.integers(0, 2**20),
    shift_s=st.floats(-500, 1e6),
    absurd=st.sampled_from([np.nan, np.inf, -1e9, 0.0, 254.0]),
)
def test_what_is_left_out_cannot_matter_nor_when_the_clock_began(seed, shift_s, absurd):
    rng = np.random.default_rng(seed)
    hr = 150 + np.cumsum(rng.normal(0, 0.1, 3600))
    used = rng.random(3600) > 0.3
    before = hr.copy(), used.copy(), HOUR.copy()
    plain = drift_of(HOUR, hr, used)
    assert all(np.array_equal(a, b) for a, b in zip(before, (hr, used, HOUR), strict=True))
    spoilt = drift_of(HOUR, np.where(used, hr, absurd), used)
    assert spoilt == plain
    whole = round(shift_s)
    moved = drift_of(HOUR + whole, hr, used, start_s=whole, stop_s=whole + 3600)
    for name in ("drift_pct", "se_pct", "slope_drift_pct", "used_s"):
        assert getattr(moved, name) == pytest.approx(getattr(plain, name), abs=1e-6)


@settings(max_examples=15, deadline=None)
@given(seed=st.integers(0, 2**20), step=st.sampled_from([1.0, 3.0, 7.0]))
def test_each_cell_of_the_map_is_the_direct_calculation(seed, step):
    rng = np.random.default_rng(seed)
    t = np.arange(0.0, 5400.0, step)
    hr = 150 + np.cumsum(rng.normal(0, 0.1, t.size))
    hr[rng.random(t.size) < 0.05] = np.nan
    used = rng.random(t.size) > 0.1
    starts, stops = np.arange(0, 2400, 333.0), np.arange(1500, 5400, 377.0)
    cells = drift_map(t, hr, used, starts_s=starts, stops_s=stops)
    assert cells.shape == (starts.size, stops.size)
    for i, start in enumerate(starts):
        for j, stop in enumerate(stops):
            if np.isfinite(cells[i, j]):
                assert stop - start >= 1200
                direct = heart_rate_drift(t, hr, used, start_s=start, stop_s=stop)
                assert cells[i, j] == pytest.approx(direct.drift_pct, abs=1e-9)
            else:
                assert stop - start < 1200


def test_the_map_leaves_out_cells_with_too_little_used():
    used = (HOUR % 10) < 5
    cells = drift_map(HOUR, np.full(3600, 150.0), used, starts_s=np.array([0.0]), stops_s=np.array([3600.0]))
    assert np.isnan(cells).all()
