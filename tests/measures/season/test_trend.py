import warnings
from dataclasses import replace

import numpy as np
import pytest
from benchmarks.trend_calls import (
    N_WEEKS,
    beats_read,
    ramp,
    season_of_readings,
    trend_of,
    trend_of_beats,
    trend_rates,
    year_rates,
)
from statsmodels.tsa.statespace.structural import UnobservedComponents

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.output.slopes import RUNNING_SLOPE, HeartRateSlope
from coachlib.measures.season.heat import Heat
from coachlib.measures.season.local_level import WANDER_BPM, level_behind, weights_of_change
from coachlib.measures.season.trend import CALL_AT, weekly_trend
from coachlib.measures.season.weekly_readings import SESSION_SD_BPM, TEST_SD_BPM, WEEK_VARIANCE


def state_space(mean, variance, **options):
    """The same level as a state-space library finds it."""
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = UnobservedComponents(mean, "llevel", **options)
    model.ssm.initialize_approximate_diffuse(1e6)
    model.update([1.0, WANDER_BPM**2])
    model.ssm["obs_cov"] = np.broadcast_to(variance, mean.shape)[None, None, :]
    found = model.ssm.smooth()
    return found.smoothed_state[0], found.smoothed_state_cov[0, 0]


@pytest.mark.parametrize("missing", [(), (5,), (0, 3, 7, 8, 9), (14, 15)])
def test_level_and_spread_agree_with_a_state_space_library(missing):
    """Every week with its own variance, as a controlled test, many sessions and none make it; missing weeks."""
    rng = np.random.default_rng(7)
    mean, variance = rng.normal(3, 4, 16), rng.uniform(2.0, 14.0, 16)
    seen = np.setdiff1d(np.arange(16), missing)
    level, covariance = level_behind(seen, mean[seen], np.diag(variance[seen]), n_weeks=16)
    is_seen = np.isin(np.arange(16), seen)
    expected, spread = state_space(np.where(is_seen, mean, np.nan), variance)
    assert np.allclose(level, expected, atol=1e-4)
    assert np.allclose(np.diag(covariance), spread, atol=1e-4)


def test_a_shared_offset_agrees_with_a_regression_in_a_state_space_library():
    """One unknown offset enters every other value; the library has it as a regression coefficient."""
    rng = np.random.default_rng(9)
    mean, variance, share = rng.normal(3, 4, 16), rng.uniform(2.0, 14.0, 16), np.tile([0.0, 1.0], 8)
    level, covariance = level_behind(
        np.arange(16), mean, np.diag(variance) + 1e6 * np.outer(share, share), n_weeks=16
    )
    expected, spread = state_space(mean, variance, exog=share, mle_regression=False)
    assert np.allclose(level, expected, atol=1e-4)
    assert np.allclose(np.diag(covariance), spread, atol=1e-4)


def test_a_change_is_the_difference_of_levels_with_its_variance():
    rng = np.random.default_rng(4)
    week, value = np.array([0, 0, 1, 3, 4, 4, 7]), rng.normal(0, 4, 7)
    errors = np.diag(rng.uniform(2, 9, 7)) + 1.5 * np.equal.outer(week, week)
    contrast = np.array([-0.25] * 4 + [0, 0, 0, 1.0])
    level, covariance = level_behind(week, value, errors, n_weeks=8)
    weights, variance = weights_of_change(week, errors, contrast)
    centre = np.average(value, weights=1 / np.diag(errors))
    assert weights @ (value - centre) == pytest.approx(contrast @ level, abs=1e-9)
    assert variance == pytest.approx(contrast @ covariance @ contrast, abs=1e-6)


def test_without_shared_errors_a_change_has_the_spread_of_scatter_alone():
    """No heat, hills, doubt of the sensor, all at the reference, fewer than ten looks: the plain local level."""
    weeks, beats = season_of_readings(np.random.default_rng(3), ramp(12.2, 6))
    trend = trend_of_beats(weeks, beats, n_weeks=N_WEEKS)
    counts = np.bincount(weeks, minlength=N_WEEKS)
    seen = np.flatnonzero(counts)
    means = np.bincount(weeks, beats, N_WEEKS)[seen] / counts[seen]
    errors = np.diag(trend.session_sd_bpm**2 / counts[seen] + WEEK_VARIANCE)
    level, covariance = level_behind(seen, means, errors, n_weeks=N_WEEKS)
    contrast = np.zeros(N_WEEKS)
    contrast[:4], contrast[-1] = -0.25, 1.0
    assert trend.latest.change_bpm == pytest.approx(contrast @ level, abs=1e-9)
    assert trend.latest.change_sd_bpm == pytest.approx(np.sqrt(contrast @ covariance @ contrast), abs=1e-9)
    assert np.allclose([w.level_bpm for w in trend.weeks], level, atol=1e-9)
    assert trend.slope == RUNNING_SLOPE


def conditions(readings, off=0.0, **late):
    """The same readings with other conditions from week 8 on, everything ``off`` from the start."""
    changed = []
    for r in readings:
        fields = dict(late) if r.week >= 8 else {}
        heat = fields.pop("heat", Heat())
        reading = replace(r.reading, heat=Heat(above_c=heat.above_c + off, unknown=heat.unknown), **{
            k: v + off for k, v in fields.items()
        })  # fmt: skip
        changed.append(replace(r, reading=replace(reading, hills_pct=reading.hills_pct + off * (r.week < 8))))
    return changed


@pytest.mark.parametrize(
    ("late", "doubt"),
    [
        ({"heat": Heat(above_c=8.0)}, "change rests on heat"),
        ({"hills_pct": 6.0}, "change rests on hills"),
        ({"heat": Heat(unknown=1.0)}, "temperatures not known"),
    ],
)
def test_a_side_that_differs_makes_the_change_less_sure_and_says_so(late, doubt):
    weeks = np.repeat(np.arange(14), 4)
    plain = beats_read(weeks, np.tile([-1.0, 1.0, 2.0, -2.0], 14))
    same, differs = trend_of(plain).latest, trend_of(conditions(plain, **late)).latest
    assert differs.change_bpm == pytest.approx(same.change_bpm)
    assert differs.change_sd_bpm > same.change_sd_bpm
    assert (same.doubt, differs.doubt.name) == (None, doubt)


def test_what_both_sides_share_makes_no_doubt():
    """Every session as hot and as hilly as every other; adding a constant changes nothing."""
    weeks = np.repeat(np.arange(14), 4)
    plain = beats_read(weeks, np.tile([-1.0, 1.0, 2.0, -2.0], 14))
    everywhere = [
        replace(r, reading=replace(r.reading, heat=Heat(above_c=7.0), hills_pct=4.0)) for r in plain
    ]
    assert trend_of(everywhere).latest == trend_of(plain).latest
    some = conditions(plain, hills_pct=3.0)
    more = [replace(r, reading=replace(r.reading, hills_pct=r.reading.hills_pct + 5.0)) for r in some]
    assert trend_of(more).latest.change_sd_bpm == pytest.approx(trend_of(some).latest.change_sd_bpm, abs=1e-9)


def test_an_easier_fortnight_rests_on_the_slope_and_an_unchanged_one_does_not():
    """Ten beats lower with the same gain in output: sure at one heart rate, unsure across ten beats."""
    weeks = np.repeat(np.arange(14), 4)
    better = beats_read(weeks, np.tile([-1.0, 1.0, 2.0, -2.0], 14) + np.where(weeks < 8, 0.0, 8.0))
    easier = [
        replace(r, reading=replace(
            r.reading, hr_bpm=r.reading.hr_bpm - 10.0, output=r.reading.output - 10.0 / RUNNING_SLOPE.mean
        )) if r.week >= 8 else r
        for r in better
    ]  # fmt: skip
    assert trend_of(better).latest.doubt is None
    found = trend_of(easier).latest
    assert found.change_bpm == pytest.approx(trend_of(better).latest.change_bpm)
    assert found.doubt.name == "change rests on slope"
    assert found.doubt["easier_bpm"] == pytest.approx(10.0, abs=1.5)
    assert found.change_sd_bpm > 2 * trend_of(better).latest.change_sd_bpm


def test_a_sensor_that_is_not_always_the_same_one_may_be_two_beats():
    weeks = np.repeat(np.arange(12), 4)
    beats = np.tile([-1.0, 1.0, 2.0, -2.0], 12)
    named, unnamed = (trend_of_beats(weeks, beats, sensor=s).latest.change_sd_bpm for s in ("1", ""))
    assert unnamed**2 - named**2 == pytest.approx(1.2**2)
    mixed = beats_read(weeks[:-1], beats[:-1]) + beats_read(weeks[-1:], beats[-1:], sensor="2")
    assert trend_of(mixed).latest.change_sd_bpm == pytest.approx(unnamed)


def with_slope(rng, slope, *, n_weeks=14, per_week=4):
    """Sessions at pace steered freely on a line of heart rate, noise of 1.5 beats and 1 %."""
    readings = []
    for w in range(n_weeks):
        for output in rng.normal(3.0, 0.15, per_week):
            hr = 140.0 + slope * (output - 3.0) + rng.normal(0, 1.5)
            (r,) = beats_read([w], [RUNNING_SLOPE.mean * output * (1 + rng.normal(0, 0.01))])
            readings.append(replace(r, reading=replace(r.reading, hr_bpm=hr)))
    return readings


@pytest.mark.parametrize("slope", [15.0, 36.0])
def test_the_athletes_own_slope_is_learnt_from_ordinary_sessions(slope):
    found = [trend_of(with_slope(np.random.default_rng(seed), slope)).slope for seed in range(6)]
    middle = float(np.median([s.mean for s in found]))
    # scatter of heart rate pulls a flat slope up: nearer to the truth than the usual slope, not on it
    assert abs(np.log(middle / slope)) < 0.65 * abs(np.log(RUNNING_SLOPE.mean / slope))
    assert max(s.sd / s.mean for s in found) < 0.25


def test_too_few_sessions_teach_no_slope():
    assert trend_of(with_slope(np.random.default_rng(8), 15.0, n_weeks=3, per_week=2)).slope == RUNNING_SLOPE


def test_twice_the_detectable_change_is_called_and_keeps_its_size():
    weeks, readings = season_of_readings(np.random.default_rng(3), ramp(12.2, 6))
    last = trend_of_beats(weeks, readings, n_weeks=N_WEEKS).latest
    assert (last.call, last.direction) == ("clear", "up")
    assert abs(last.change_bpm - 12.2) < 3.5
    assert last.change_output == pytest.approx(last.change_bpm / RUNNING_SLOPE.mean)


def test_one_surprising_week_is_not_enough():
    weeks = np.repeat(np.arange(9), 3)
    trend = trend_of_beats(weeks, np.tile([-1.0, 0.0, 1.0], 9) + np.where(weeks == 8, -15.0, 0.0))
    assert trend.latest.change_bpm < -5
    assert trend.latest.call == "cannot tell"


def test_a_second_look_speaks():
    weeks = np.repeat(np.arange(10), 3)
    last = trend_of_beats(weeks, np.tile([-1.0, 0.0, 1.0], 10) + np.where(weeks >= 8, -15.0, 0.0)).latest
    assert last.call != "cannot tell"
    assert last.direction == "down"


@pytest.mark.parametrize("seed", [5, 6, 7])
def test_a_call_uses_only_what_was_known_then(seed):
    rng = np.random.default_rng(seed)
    readings = with_slope(rng, 18.0)
    changed = [replace(r, sensor=str(r.week > 9)) for r in conditions(readings, heat=Heat(unknown=1.0))]
    whole = trend_of(changed, n_weeks=14)
    for n in (6, 9, 12):
        early = trend_of([r for r in changed if r.week < n], n_weeks=n)
        assert early.latest.change_bpm == whole.weeks[n - 1].change_bpm
        assert early.latest.call == whole.weeks[n - 1].call


def test_looks_left_out_change_no_later_call():
    weeks, readings = season_of_readings(np.random.default_rng(5), ramp(12.2, 6), "missing")
    whole, late = (trend_of_beats(weeks, readings, n_weeks=N_WEEKS, looks_from=f) for f in (0, 12))
    assert late.weeks[12:] == whole.weeks[12:]


def test_a_week_without_readings_repeats_the_call():
    weeks, readings = season_of_readings(np.random.default_rng(3), ramp(12.2, 6))
    trend = trend_of_beats(weeks, readings, n_weeks=N_WEEKS + 2)
    assert trend.latest.call == trend.weeks[N_WEEKS - 1].call
    assert not trend.latest.has_readings
    assert trend.latest.level_high_bpm - trend.latest.level_low_bpm > (
        trend.weeks[N_WEEKS - 1].level_high_bpm - trend.weeks[N_WEEKS - 1].level_low_bpm
    )


def test_no_call_before_week_six_nor_without_reference():
    weeks = np.repeat(np.arange(12), 3)
    readings = np.where(weeks < 4, 0.0, 20.0)
    assert all(w.call == "cannot tell" for w in trend_of_beats(weeks, readings).weeks[:5])
    thin = weeks >= 3
    trend = trend_of_beats(weeks[thin], readings[thin])
    assert all(w.call == "cannot tell" for w in trend.weeks)
    assert (trend.caveats[0].name, trend.caveats[0]["n_readings"]) == ("few readings to compare with", 3)


def test_the_reference_can_be_moved():
    weeks = np.repeat(np.arange(14), 4)
    readings = np.tile([-1.0, 1.0, 0.0, 0.0], 14) + np.where(weeks < 4, 0.0, 10.0)
    assert trend_of_beats(weeks, readings).latest.call == "clear"
    moved = trend_of_beats(weeks, readings, reference_weeks=(5, 6, 7, 8))
    assert moved.latest.call == "cannot tell"
    assert (moved.first_call_week, trend_of_beats(weeks, readings).first_call_week) == (10, 5)


def test_a_moved_reference_calls_only_what_comes_after_it():
    """Better by 10 in week 9: after reference weeks 3 to 6, the looks at 9 and 10 are the first that say so."""
    weeks = np.repeat(np.arange(14), 4)
    readings = np.tile([-1.0, 1.0, 0.0, 0.0], 14) + np.where(weeks < 9, 0.0, 10.0)
    trend = trend_of_beats(weeks, readings, reference_weeks=(3, 4, 5, 6))
    assert [w.week for w in trend.weeks if w.change_bpm is None] == list(range(7))
    assert [w.week for w in trend.weeks if w.call != "cannot tell"] == [10, 11, 12, 13]


def test_the_fiftieth_look_asks_for_more_than_the_tenth():
    """The same change, the same scatter: what is likely in week 14 is no more than possible in week 54."""
    size = 5.2
    early, late = (
        trend_of_beats(
            np.repeat(np.arange(n), 3), np.tile([-3.5, 0.0, 3.5], n) + np.where(np.repeat(np.arange(n), 3) < n - 3, 0, size)
        ).latest
        for n in (14, 54)
    )  # fmt: skip
    assert late.change_bpm == pytest.approx(early.change_bpm, abs=0.1)
    assert late.change_bpm / late.change_sd_bpm > CALL_AT[1]
    assert (early.call, late.call) == ("likely", "possible")


def test_calls_are_rare_without_a_change_and_usual_with_one():
    found = trend_rates(80, 2, "independent")
    assert found["false likely"] <= 0.05
    assert found["false clear"] <= 0.02
    assert found["12.2 in 6 by 6"] >= 0.90
    assert found["6.1 in 12 by 12"] >= 0.70


def test_offsets_that_last_for_days_raise_few_false_calls():
    """Offsets of SD 1.6 with a half-life of four days; no call tells a lasting bad fortnight from a loss."""
    found = trend_rates(80, 3, "sticky")
    assert found["false likely"] <= 0.16
    assert found["12.2 in 6 by 6"] >= 0.90


def test_a_year_of_weekly_looks_keeps_its_targets():
    """Whole years need many seeds: ``tests/benchmarks/season_calls.py`` runs them."""
    found = year_rates(12, 4, "independent", sensor="1")
    assert found["false likely"] <= 0.16
    assert found["12.2 from week 30 within 6"] >= 0.80


def controlled(readings, *, elsewhere=False):
    """Those readings as controlled tests."""
    return [
        replace(r, is_elsewhere=elsewhere, reading=replace(r.reading, test_sd_bpm=TEST_SD_BPM))
        for r in readings
    ]


def test_a_controlled_test_weighs_by_how_sure_it_is():
    """Readings of 0, and one controlled test of 6 in week 10."""
    trend = trend_of(beats_read(np.arange(12), np.zeros(12)) + controlled(beats_read([10], [6.0])))
    ordinary, test = SESSION_SD_BPM**-2, 2.6**-2
    assert trend.weeks[10].mean_bpm == pytest.approx(6.0 * test / (ordinary + test))
    assert (trend.weeks[10].n_readings, trend.weeks[10].n_tests, trend.n_tests) == (2, 1, 1)


def test_tests_teach_nothing_about_the_spread_of_ordinary_sessions():
    plain = beats_read(np.repeat(np.arange(12), 2), np.zeros(24))
    alone = trend_of(plain).session_sd_bpm
    assert trend_of(plain + controlled(beats_read([10], [6.0]))).session_sd_bpm == alone
    assert trend_of(plain + beats_read([10], [6.0])).session_sd_bpm > alone


def test_tests_alone_make_a_trend():
    """One test a week, and a true gain of 12 after the reference weeks."""
    readings = beats_read(np.arange(12), np.where(np.arange(12) < 4, 0.0, 12.0))
    tests, sessions = trend_of(controlled(readings)), trend_of(readings)
    assert tests.latest.call == "clear"
    assert tests.latest.change_sd_bpm < sessions.latest.change_sd_bpm
    assert tests.session_sd_bpm == SESSION_SD_BPM


def with_belt_tests(off, *, elsewhere=True):
    """Two sessions a week that stay as they are, and from week 8 on a belt test a week that is ``off`` bpm off."""
    sessions = beats_read(np.repeat(np.arange(14), 2), np.tile([-1.0, 1.0], 14))
    tests = controlled(beats_read(np.arange(8, 14), np.full(6, float(off))), elsewhere=elsewhere)
    return trend_of(sessions + tests)


def test_a_belt_that_differs_from_the_road_makes_no_change():
    taken_as_same, apart = with_belt_tests(10.0, elsewhere=False).latest, with_belt_tests(10.0).latest
    assert taken_as_same.call != "cannot tell"
    assert apart.call == "cannot tell"
    assert apart.change_bpm < taken_as_same.change_bpm / 2


def test_tests_elsewhere_tell_a_change_among_themselves():
    """Belt tests alone know of the gain: 12 bpm between the first four and the last ones."""
    weeks = np.array([0, 1, 2, 3, 8, 9, 10, 11])
    found = trend_of(controlled(beats_read(weeks, np.where(weeks < 4, 30.0, 42.0)), elsewhere=True))
    assert found.latest.change_bpm == pytest.approx(12.0, abs=1.5)
    assert found.latest.call == "clear"


def test_refusals_say_what_was_given():
    with pytest.raises(TooLittleData, match=r"at least 1 reading; 0 were given"):
        trend_of([])
    with pytest.raises(BadArgument, match=r"1 of 2 readings are not finite"):
        trend_of_beats([0, 1], [1.0, np.nan])
    with pytest.raises(BadArgument, match=r"has 3 weeks, but a reading lies in week 5"):
        trend_of_beats([5], [1.0], n_weeks=3)
    with pytest.raises(BadArgument, match=r"a trend of 1 weeks needs reference weeks from 0 to 0"):
        trend_of_beats([0], [1.0], reference_weeks=())
    with pytest.raises(BadArgument, match=r"from 0 to 1; \(3, 4\) were given"):
        trend_of_beats([0, 1], [1.0, 2.0], reference_weeks=(3, 4))
    with pytest.raises(BadArgument, match=r"with its doubt; 0 and 8 were given"):
        weekly_trend(
            beats_read([0], [1.0]), hr_reference_bpm=140.0, slope=HeartRateSlope(0.0, 8.0), is_cycling=False
        )


def seasons_with_late_belt_tests(n, *, elsewhere):
    """Share of seasons without a change that are called likely: belt tests from week 8 on, off by 6 bpm (SD)."""
    rng, called = np.random.default_rng(2), 0
    for _ in range(n):
        weeks, readings = season_of_readings(rng, np.zeros(N_WEEKS))
        tests = np.arange(8, N_WEEKS)
        told = rng.normal(0, 6) + rng.normal(0, TEST_SD_BPM, tests.size)
        both = beats_read(weeks, readings) + controlled(beats_read(tests, told), elsewhere=elsewhere)
        called += any(w.call in ("likely", "clear") for w in trend_of(both, n_weeks=N_WEEKS).weeks)
    return called / n


def test_a_belt_of_unknown_offset_does_not_cry_wolf():
    assert seasons_with_late_belt_tests(100, elsewhere=False) >= 0.10
    assert seasons_with_late_belt_tests(100, elsewhere=True) <= 0.05
