import warnings

import numpy as np
import pytest
from benchmarks.trend_calls import N_WEEKS, ramp, season_of_readings, trend_rates
from statsmodels.tsa.statespace.structural import UnobservedComponents

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.season.detectable import SEM_USUAL_BPM
from coachlib.measures.season.local_level import WANDER_BPM, level_behind, local_level
from coachlib.measures.season.trend import weekly_trend
from coachlib.measures.season.weekly_readings import SESSION_SD_BPM, TEST_SD_BPM, WEEK_VARIANCE


@pytest.mark.parametrize("missing", [(), (5,), (0, 3, 7, 8, 9), (14, 15)])
def test_level_and_spread_agree_with_a_state_space_library(missing):
    """One variance for all weeks, as the library has it; missing weeks included."""
    rng = np.random.default_rng(7)
    mean, variance = rng.normal(3, 4, 16), np.full(16, 6.0)
    seen = np.full(16, True)
    seen[list(missing)] = False
    variance[~seen] = np.inf
    level, covariance = local_level(mean, variance)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = UnobservedComponents(np.where(seen, mean, np.nan), "llevel")
    model.ssm.initialize_approximate_diffuse(1e6)
    found = model.smooth([6.0, WANDER_BPM**2])
    assert np.allclose(level, found.smoothed_state[0], atol=1e-4)
    assert np.allclose(np.diag(covariance), found.smoothed_state_cov[0, 0], atol=1e-4)


def test_weeks_of_unequal_precision_agree_with_a_state_space_library():
    """A controlled test, many sessions, none at all: every week has its own variance."""
    rng = np.random.default_rng(8)
    mean, variance = rng.normal(3, 4, 16), rng.uniform(2.0, 14.0, 16)
    variance[[4, 9, 10]] = np.inf
    level, covariance = local_level(mean, variance)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = UnobservedComponents(np.where(np.isfinite(variance), mean, np.nan), "llevel")
    model.ssm.initialize_approximate_diffuse(1e6)
    model.update([1.0, WANDER_BPM**2])
    model.ssm["obs_cov"] = np.where(np.isfinite(variance), variance, 1.0)[None, None, :]
    found = model.ssm.smooth()
    assert np.allclose(level, found.smoothed_state[0], atol=1e-4)
    assert np.allclose(np.diag(covariance), found.smoothed_state_cov[0, 0], atol=1e-4)


def test_a_shared_offset_agrees_with_a_regression_in_a_state_space_library():
    """One unknown offset enters every other value; the library has it as a regression coefficient."""
    rng = np.random.default_rng(9)
    mean, variance, share = rng.normal(3, 4, 16), rng.uniform(2.0, 14.0, 16), np.tile([0.0, 1.0], 8)
    errors = np.diag(variance) + 1e6 * np.outer(share, share)
    level, covariance = level_behind(np.arange(16), mean, errors, n_weeks=16)
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        model = UnobservedComponents(mean, "llevel", exog=share, mle_regression=False)
    model.ssm.initialize_approximate_diffuse(1e6)
    model.update([1.0, WANDER_BPM**2])
    model.ssm["obs_cov"] = variance[None, None, :]
    found = model.ssm.smooth()
    assert np.allclose(level, found.smoothed_state[0], atol=1e-4)
    assert np.allclose(np.diag(covariance), found.smoothed_state_cov[0, 0], atol=1e-4)


def test_a_level_without_noise_is_found_exactly():
    level, _ = local_level(np.full(10, 2.5), np.full(10, 1e-9))
    assert np.allclose(level, 2.5)


def test_twice_the_detectable_change_is_called_and_keeps_its_size():
    weeks, readings = season_of_readings(np.random.default_rng(3), ramp(12.2, 6))
    last = weekly_trend(weeks, readings, n_weeks=N_WEEKS).latest
    assert (last.call, last.direction) == ("clear", "up")
    assert abs(last.change_bpm - 12.2) < 3.5


def test_one_surprising_week_is_not_enough():
    weeks = np.repeat(np.arange(9), 3)
    readings = np.tile([-1.0, 0.0, 1.0], 9) + np.where(weeks == 8, -15.0, 0.0)
    trend = weekly_trend(weeks, readings)
    assert trend.latest.change_bpm < -5
    assert trend.latest.call == "cannot tell"


def test_a_second_look_speaks():
    weeks = np.repeat(np.arange(10), 3)
    readings = np.tile([-1.0, 0.0, 1.0], 10) + np.where(weeks >= 8, -15.0, 0.0)
    last = weekly_trend(weeks, readings).latest
    assert last.call != "cannot tell"
    assert last.direction == "down"


def test_a_call_uses_only_what_was_known_then():
    weeks, readings = season_of_readings(np.random.default_rng(5), ramp(12.2, 6))
    whole = weekly_trend(weeks, readings, n_weeks=N_WEEKS)
    early = weekly_trend(weeks[weeks < 9], readings[weeks < 9], n_weeks=9)
    assert [w.call for w in whole.weeks[:9]] == [w.call for w in early.weeks]


def test_a_week_without_readings_repeats_the_call():
    weeks, readings = season_of_readings(np.random.default_rng(3), ramp(12.2, 6))
    trend = weekly_trend(weeks, readings, n_weeks=N_WEEKS + 2)
    assert trend.latest.call == trend.weeks[N_WEEKS - 1].call
    assert not trend.latest.has_readings
    assert trend.latest.level_high_bpm - trend.latest.level_low_bpm > (
        trend.weeks[N_WEEKS - 1].level_high_bpm - trend.weeks[N_WEEKS - 1].level_low_bpm
    )


def test_no_call_before_week_six_nor_without_reference():
    weeks = np.repeat(np.arange(12), 3)
    readings = np.where(weeks < 4, 0.0, 20.0)
    assert all(w.call == "cannot tell" for w in weekly_trend(weeks, readings).weeks[:5])
    thin = weeks >= 3
    trend = weekly_trend(weeks[thin], readings[thin])
    assert all(w.call == "cannot tell" for w in trend.weeks)
    assert "hold 3 readings; 4 are needed" in trend.caveats[0]


def test_the_reference_can_be_moved():
    weeks = np.repeat(np.arange(14), 4)
    readings = np.tile([-1.0, 1.0, 0.0, 0.0], 14) + np.where(weeks < 4, 0.0, 10.0)
    assert weekly_trend(weeks, readings).latest.call == "clear"
    moved = weekly_trend(weeks, readings, reference_weeks=(5, 6, 7, 8))
    assert moved.latest.call == "cannot tell"
    assert (moved.first_call_week, weekly_trend(weeks, readings).first_call_week) == (10, 5)


def test_a_moved_reference_calls_only_what_comes_after_it():
    """Better by 10 in week 9: after reference weeks 3 to 6, the looks at 9 and 10 are the first that say so."""
    weeks = np.repeat(np.arange(14), 4)
    readings = np.tile([-1.0, 1.0, 0.0, 0.0], 14) + np.where(weeks < 9, 0.0, 10.0)
    trend = weekly_trend(weeks, readings, reference_weeks=(3, 4, 5, 6))
    assert [w.week for w in trend.weeks if w.change_bpm is None] == list(range(7))
    assert [w.week for w in trend.weeks if w.call != "cannot tell"] == [10, 11, 12, 13]


def test_calls_are_rare_without_a_change_and_usual_with_one():
    found = trend_rates(400, 2, "independent")
    assert found["false likely"] <= 0.03
    assert found["false clear"] <= 0.01
    assert found["12.2 in 6 by 6"] >= 0.93
    assert found["6.1 in 12 by 12"] >= 0.75


def test_offsets_that_last_for_days_raise_few_false_calls():
    """Offsets of SD 1.6 with a half-life of four days; no call tells a lasting bad fortnight from a loss."""
    found = trend_rates(400, 3, "sticky")
    assert found["false likely"] <= 0.16
    assert found["12.2 in 6 by 6"] >= 0.90


def in_even_weeks(n_weeks, per_week):
    """Weeks, readings of 0, and one controlled test of 6 in week 10."""
    weeks = np.append(np.repeat(np.arange(n_weeks), per_week), 10)
    readings = np.append(np.zeros(n_weeks * per_week), 6.0)
    test_sd = np.append(np.full(n_weeks * per_week, np.nan), TEST_SD_BPM)
    return weeks, readings, test_sd


def test_a_controlled_test_weighs_by_how_sure_it_is():
    weeks, readings, test_sd = in_even_weeks(12, 1)
    trend = weekly_trend(weeks, readings, test_sd_bpm=test_sd)
    # one ordinary session of 0 with the usual spread, one test of 6: by precision
    ordinary, test = SESSION_SD_BPM**-2, SEM_USUAL_BPM**-2
    assert trend.weeks[10].mean_bpm == pytest.approx(6.0 * test / (ordinary + test))
    assert (trend.weeks[10].n_readings, trend.weeks[10].n_tests, trend.n_tests) == (2, 1, 1)
    variance = np.full(12, SESSION_SD_BPM**2 + WEEK_VARIANCE)
    variance[10] = 1.0 / (ordinary + test) + WEEK_VARIANCE
    mean = np.zeros(12)
    mean[10] = trend.weeks[10].mean_bpm
    level, _ = local_level(mean, variance)
    assert np.allclose([w.level_bpm for w in trend.weeks], level)


def test_tests_as_sure_as_sessions_give_what_sessions_give():
    """The same season, once with every third reading declared a test of the session's own spread."""
    weeks = np.repeat(np.arange(12), 3)
    readings = np.where(weeks < 4, 0.0, 5.0) + np.tile([-1.0, 1.0, 0.0], 12)
    plain = weekly_trend(weeks, readings)
    is_test = np.tile([False, False, True], 12)
    ordinary_only = weekly_trend(weeks[~is_test], readings[~is_test]).session_sd_bpm
    mixed = weekly_trend(weeks, readings, test_sd_bpm=np.where(is_test, ordinary_only, np.nan))
    assert mixed.session_sd_bpm == ordinary_only
    assert [w.mean_bpm for w in mixed.weeks] == pytest.approx([w.mean_bpm for w in plain.weeks])


def test_tests_teach_nothing_about_the_spread_of_ordinary_sessions():
    weeks, readings, test_sd = in_even_weeks(12, 2)
    alone = weekly_trend(weeks[:-1], readings[:-1])
    assert weekly_trend(weeks, readings, test_sd_bpm=test_sd).session_sd_bpm == alone.session_sd_bpm
    assert weekly_trend(weeks, readings).session_sd_bpm > alone.session_sd_bpm


def test_tests_alone_make_a_trend():
    """One test a week, and a true gain of 12 after the reference weeks."""
    weeks = np.arange(12)
    readings = np.where(weeks < 4, 0.0, 12.0)
    tests = weekly_trend(weeks, readings, test_sd_bpm=np.full(12, TEST_SD_BPM))
    sessions = weekly_trend(weeks, readings)
    assert tests.latest.call == "clear"
    assert tests.latest.change_sd_bpm < sessions.latest.change_sd_bpm
    assert tests.session_sd_bpm == SESSION_SD_BPM


def with_belt_tests(off, *, elsewhere=True):
    """Two sessions a week that stay as they are, and from week 8 on a belt test a week that is ``off`` bpm off."""
    weeks = np.concatenate((np.repeat(np.arange(14), 2), np.arange(8, 14)))
    readings = np.concatenate((np.tile([-1.0, 1.0], 14), np.full(6, float(off))))
    test_sd = np.concatenate((np.full(28, np.nan), np.full(6, TEST_SD_BPM)))
    return weekly_trend(weeks, readings, test_sd_bpm=test_sd, elsewhere=elsewhere & np.isfinite(test_sd))


def test_a_belt_that_differs_from_the_road_makes_no_change():
    taken_as_same, apart = with_belt_tests(10.0, elsewhere=False).latest, with_belt_tests(10.0).latest
    assert taken_as_same.call != "cannot tell"
    assert apart.call == "cannot tell"
    assert apart.change_bpm < taken_as_same.change_bpm / 2


def test_tests_elsewhere_tell_a_change_among_themselves():
    """Belt tests alone know of the gain: 12 bpm between the first four and the last ones."""
    weeks = np.array([0, 1, 2, 3, 8, 9, 10, 11])
    readings = np.where(weeks < 4, 30.0, 42.0)
    found = weekly_trend(weeks, readings, test_sd_bpm=np.full(8, TEST_SD_BPM), elsewhere=np.full(8, True))
    assert found.latest.change_bpm == pytest.approx(12.0, abs=1.5)
    assert found.latest.call == "clear"


def test_refusals_say_what_was_given():
    with pytest.raises(TooLittleData, match=r"at least 1 reading; 0 were given"):
        weekly_trend([], [])
    with pytest.raises(BadArgument, match=r"2 weeks and 1 readings"):
        weekly_trend([0, 1], [1.0])
    with pytest.raises(BadArgument, match=r"has 3 weeks, but a reading lies in week 5"):
        weekly_trend([5], [1.0], n_weeks=3)
    with pytest.raises(BadArgument, match=r"a trend of 1 weeks needs reference weeks from 0 to 0"):
        weekly_trend([0], [1.0], reference_weeks=())
    with pytest.raises(BadArgument, match=r"from 0 to 1; \(3, 4\) were given"):
        weekly_trend([0, 1], [1.0, 2.0], reference_weeks=(3, 4))
    with pytest.raises(BadArgument, match=r"a spread above 0 for each test"):
        weekly_trend([0, 0], [1.0, 2.0], test_sd_bpm=[None, 0.0])
    with pytest.raises(BadArgument, match=r"1 values for 2 readings"):
        weekly_trend([0, 0], [1.0, 2.0], test_sd_bpm=[2.6])


def seasons_with_late_belt_tests(n, *, elsewhere):
    """Share of seasons without a change that are called likely: belt tests from week 8 on, off by 6 bpm (SD)."""
    rng, called = np.random.default_rng(2), 0
    for _ in range(n):
        weeks, readings = season_of_readings(rng, np.zeros(N_WEEKS))
        tests = np.arange(8, N_WEEKS)
        told = rng.normal(0, 6) + rng.normal(0, TEST_SD_BPM, tests.size)
        test_sd = np.append(np.full(weeks.size, np.nan), np.full(tests.size, TEST_SD_BPM))
        trend = weekly_trend(
            np.append(weeks, tests), np.append(readings, told), test_sd_bpm=test_sd,
            elsewhere=elsewhere & np.isfinite(test_sd), n_weeks=N_WEEKS,
        )  # fmt: skip
        called += any(w.call in ("likely", "clear") for w in trend.weeks)
    return called / n


def test_a_belt_of_unknown_offset_does_not_cry_wolf():
    assert seasons_with_late_belt_tests(150, elsewhere=False) >= 0.10
    assert seasons_with_late_belt_tests(150, elsewhere=True) <= 0.03
