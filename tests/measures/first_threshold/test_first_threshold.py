import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.drift_test.reference_conditions import in_reference_conditions
from coachlib.measures.first_threshold.drift_series import TYPED_SE_PCT
from coachlib.measures.first_threshold.estimate import (
    curve_band,
    drift_curve,
    estimate_first_threshold,
    probability_below,
    pull_of_each_test,
    threshold_posterior,
)

HALF = 0.5


def estimate(hr, drift, se=HALF, **options):
    return estimate_first_threshold(hr, drift, np.full(len(hr), se), **options)


# common practice, no source: first-half means and drifts of a coach's four tests
PRACTICE = ([143.0, 152.0, 160.0, 163.0], [0.0, 0.0, 1.25, 3.07])


@pytest.mark.parametrize("se", [0.3, 0.5, 0.8, TYPED_SE_PCT])
def test_four_tests_from_practice_give_a_lower_bound_and_say_so(se):
    found = estimate(*PRACTICE, se)
    assert found.bounded == "below"
    assert 163.0 <= found.hr_low_bpm < 165.5
    assert 164.0 <= found.hr_bpm <= 174.0
    assert found.hr_high_bpm > 174.0
    assert any("only the lower bound" in c for c in found.caveats)


def test_the_practice_series_hardly_allows_163_to_165():
    p = [probability_below(*PRACTICE, [HALF] * 4, hr_bpm=hr) for hr in (163.0, 165.0)]
    assert p[0] < 0.03
    assert p[1] - p[0] < 0.12


def test_a_fifth_test_bounds_the_practice_series_from_above():
    found = estimate([*PRACTICE[0], 166.0], [*PRACTICE[1], 6.5])
    assert found.bounded == "both"
    assert abs(found.hr_bpm - 165.9) < 1.5
    assert found.width_bpm < 10


def test_a_lower_criterion_gives_a_lower_heart_rate():
    at = [estimate(*PRACTICE, criterion_pct=c).hr_bpm for c in (3.0, 4.0, 5.0)]
    assert at == sorted(at)
    assert abs(at[0] - 165) < 2


def test_only_tests_below_are_at_least():
    found = estimate([140, 148, 155], [0, 0.5, 1.2])
    assert found.bounded == "below"
    assert found.hr_low_bpm > 158


def test_only_tests_above_are_at_most():
    found = estimate([165, 170], [7, 9.5])
    assert found.bounded == "above"
    assert found.hr_high_bpm < 166
    assert any("only the upper bound" in c for c in found.caveats)


def test_contradictory_tests_stay_wide_and_say_so():
    found = estimate([150, 155, 160], [6, 1.5, 3])
    assert found.width_bpm > 18
    assert any("contradict" in c for c in found.caveats)


def test_many_clean_tests_on_a_line_find_its_crossing():
    """Drift 0.5 % per bpm above 150 bpm, exactly 5 % at 160."""
    hr = np.arange(146.0, 168.0, 2.0)
    found = estimate(hr, np.maximum(0.0, 0.5 * (hr - 150)), 0.2)
    assert abs(found.hr_bpm - 160.0) < 1.0
    assert found.hr_low_bpm < found.hr_q25_bpm < found.hr_bpm < found.hr_q75_bpm < found.hr_high_bpm


def test_order_of_tests_does_not_matter_and_inputs_stay():
    hr, drift, se = np.array([150.0, 158.0, 163.0]), np.array([1.0, 3.0, 6.0]), np.array([0.4, 0.5, 0.6])
    kept = hr.copy(), drift.copy(), se.copy()
    forward = estimate_first_threshold(hr, drift, se)
    back = estimate_first_threshold(hr[::-1], drift[::-1], se[::-1])
    assert back.hr_bpm == pytest.approx(forward.hr_bpm, abs=1e-9)
    for now, before in zip((hr, drift, se), kept, strict=True):
        assert np.array_equal(now, before)


def test_heat_is_brought_back_and_said():
    cool = estimate([150, 158], [2.0, 5.0])
    hot = estimate([154, 162], [4.0, 7.0], temperature_c=[26.0, 26.0])
    assert hot.hr_bpm == pytest.approx(cool.hr_bpm, abs=1.0)
    assert hot.width_bpm > cool.width_bpm
    assert any("brought back to 21 degC" in c and "4.0 bpm" in c for c in hot.caveats)


def test_unknown_temperatures_change_nothing():
    assert estimate([150, 158], [2.0, 5.0], temperature_c=[None, float("nan")]) == estimate(
        [150, 158], [2.0, 5.0]
    )
    hr, drift = in_reference_conditions([150.0], [2.0], None)
    assert (hr[0], drift[0]) == (150.0, 2.0)


def test_unsure_conditions_weigh_less():
    sure = estimate([150, 156, 160], [1.0, 2.0, 8.0])
    unsure = estimate([150, 156, 160], [1.0, 2.0, 8.0], conditions_unsure=[False, False, True])
    assert unsure.width_bpm > sure.width_bpm


def test_pulls_are_leave_one_out_shifts():
    hr, drift, se = [150.0, 156.0, 160.0], [1.0, 2.0, 8.0], [0.5] * 3
    pull = pull_of_each_test(hr, drift, se)
    without_last = estimate_first_threshold(hr[:2], drift[:2], se[:2])
    assert pull[2] == pytest.approx(
        estimate_first_threshold(hr, drift, se).hr_bpm - without_last.hr_bpm, abs=0.3
    )


def test_posterior_sums_to_one_and_agrees_with_the_result():
    hr_bpm, probability = threshold_posterior(*PRACTICE, [HALF] * 4)
    assert probability.sum() == pytest.approx(1.0)
    found = estimate(*PRACTICE)
    assert probability[hr_bpm < found.hr_low_bpm].sum() == pytest.approx(0.05, abs=0.02)


def test_curve_band_meets_the_criterion_at_the_median():
    hr, drift = [150, 155, 160, 165], [1.0, 2.5, 5.0, 7.5]
    found = estimate(hr, drift)
    low, median, high = curve_band(hr, drift, [HALF] * 4, at_bpm=np.array([145.0, found.hr_bpm, 170.0]))
    assert median[1] == pytest.approx(5.0, abs=0.3)
    assert (low < median).all()
    assert (median < high).all()
    assert (np.diff(median) > 0).all()


@pytest.mark.parametrize("hr_max", [None, 130.0, 186.0, 220.0])
@pytest.mark.parametrize("n", [1, 2, 5, 8, 12])
def test_every_series_is_finite_however_odd(n, hr_max):
    rng = np.random.default_rng(n)
    for scale in (1.0, 10.0, 1000.0):
        found = estimate_first_threshold(
            rng.uniform(31, 249, n), rng.normal(0, scale, n), rng.choice([0.0, 0.5, 100.0], n),
            hr_max_bpm=hr_max, temperature_c=rng.uniform(-10, 45, n),
        )  # fmt: skip
        numbers = [found.hr_low_bpm, found.hr_q25_bpm, found.hr_bpm, found.hr_q75_bpm, found.hr_high_bpm]
        assert np.isfinite(numbers).all()
        assert numbers == sorted(numbers)


A_TEST = st.tuples(st.floats(90.0, 200.0), st.floats(-3.0, 15.0), st.floats(0.1, 3.0), st.floats(5.0, 38.0))


@settings(max_examples=60, deadline=None)
@given(tests=st.lists(A_TEST, min_size=1, max_size=8), hr_max=st.none() | st.floats(150.0, 215.0))
def test_whatever_the_tests_say_the_answer_is_in_order_and_follows_the_criterion(tests, hr_max):
    """Contradictory and one-sided series too: a higher criterion never gives a lower heart rate."""
    hr, drift, se, temperature = np.array(tests).T
    answers = []
    for criterion in (3.0, 5.0, 6.0):
        found = estimate_first_threshold(
            hr, drift, se, criterion_pct=criterion, hr_max_bpm=hr_max, temperature_c=temperature
        )
        answers.append(
            [found.hr_low_bpm, found.hr_q25_bpm, found.hr_bpm, found.hr_q75_bpm, found.hr_high_bpm]
        )
    assert np.isfinite(answers).all()
    assert (np.diff(answers, axis=1) >= 0).all()
    assert (np.diff(answers, axis=0) >= 0).all()


@pytest.mark.parametrize("criterion", [1.0, 2.5, 5.0, 7.0, 15.0])
def test_the_crossing_of_every_curve_has_the_criterion(criterion):
    family = drift_curve.curves(drift_curve.ANCHOR_PCT)
    distance = family.distance_to(criterion)[:, None]
    reached = family.floor_pct + drift_curve.LEAST_RISE_PCT <= criterion
    drift, _ = family.drift_and_slope(150.0 + distance, np.array([150.0]))
    assert np.allclose(drift[reached], criterion)


def test_a_test_above_the_maximum_is_said():
    said = estimate([170, 185], [1.0, 4.0], hr_max_bpm=180).caveats
    assert any("a test at 185 bpm lies above the maximal heart rate of 180" in c for c in said)


def test_curves_pass_through_threshold_with_their_slope():
    family = drift_curve.curves(5.0)
    drift, slope = family.drift_and_slope(160.0, np.array([160.0]))
    assert np.allclose(drift, 5.0, atol=1e-6)
    assert slope.min() == pytest.approx(0.12, rel=1e-6)
    assert slope.max() == pytest.approx(1.6, rel=1e-6)
    step, _ = family.drift_and_slope(160.001, np.array([160.0]))
    assert np.allclose((step - drift) / 0.001, slope, rtol=1e-2)


def test_a_finer_grid_gives_the_same_median(monkeypatch):
    coarse = estimate(*PRACTICE)
    monkeypatch.setattr(drift_curve, "STEP_BPM", 0.125)
    hr, p = threshold_posterior(*PRACTICE, [HALF] * 4)
    fine = drift_curve.quantiles(hr, p, (0.5,))[0]
    assert abs(fine - coarse.hr_bpm) < 0.2


def test_refusals_say_what_was_given():
    with pytest.raises(TooLittleData, match=r"at least 1 drift test; 0 were given"):
        estimate([], [])
    with pytest.raises(BadArgument, match=r"2, 1 and 2 were given"):
        estimate_first_threshold([150, 160], [1.0], [0.5, 0.5])
    with pytest.raises(BadArgument, match=r"between 1 and 15 %; 0.5 % was given"):
        estimate([150], [1.0], criterion_pct=0.5)
    with pytest.raises(BadArgument, match=r"test 2 has heart rate 300 bpm"):
        estimate([150, 300], [1.0, 2.0])
    with pytest.raises(BadArgument, match=r"test 1 has heart rate 150 bpm, drift nan %"):
        estimate([150], [float("nan")])
    with pytest.raises(BadArgument, match=r"between 100 and 240 bpm; 18 was given"):
        estimate([150], [1.0], hr_max_bpm=18)
    with pytest.raises(BadArgument, match=r"2 tests need 2 temperatures; 1 were given"):
        estimate([150, 151], [1.0, 2.0], temperature_c=[21.0])
