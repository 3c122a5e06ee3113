import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.drift_test.reference_conditions import in_reference_conditions
from coachlib.measures.first_threshold import drift_curve, walking
from coachlib.measures.first_threshold.drift_series import TYPED_SE_PCT, drift_series
from coachlib.measures.first_threshold.estimate import FittedSeries, estimate_first_threshold

HALF = 0.5


def estimate(hr, drift, se=HALF, **options):
    return estimate_first_threshold(hr, drift, np.full(len(hr), se), **options)


def fitted(hr, drift, se=HALF, **options):
    return FittedSeries(drift_series(hr, drift, np.full(len(hr), se), **options))


def names(found):
    return [c.name for c in found.caveats]


# common practice, no source: first-half means and drifts of a coach's four tests
PRACTICE = ([143.0, 152.0, 160.0, 163.0], [0.0, 0.0, 1.25, 3.07])


@pytest.mark.parametrize("se", [0.3, 0.5, 0.8, TYPED_SE_PCT])
def test_four_tests_from_practice_give_a_lower_bound_and_say_so(se):
    found = estimate(*PRACTICE, se)
    assert found.bounded == "below"
    assert 160.0 <= found.hr_low_bpm < 164.0
    assert 164.0 <= found.hr_bpm <= 174.0
    assert found.hr_high_bpm > 174.0
    assert not found.has_best_guess
    assert "only a lower end held" in names(found)


def test_the_practice_series_hardly_allows_163_to_165():
    known = fitted(*PRACTICE)
    p = [drift_curve.share_below(known.grid_bpm, known.probability, hr) for hr in (163.0, 165.0)]
    assert p[0] < 0.05
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
    assert 152 < found.hr_low_bpm < 158


def test_only_tests_above_are_at_most():
    found = estimate([165, 170], [7, 9.5])
    assert found.bounded == "above"
    assert 164 < found.hr_high_bpm < 170
    assert "only an upper end held" in names(found)


@pytest.mark.parametrize(
    ("hr", "drift", "pair"),
    [
        ([150, 150], [1.0, 8.0], (1, 0)),
        ([150, 150], [12.0, 0.0], (0, 1)),
        ([140, 145, 150, 155, 160], [8.0, 6.0, 4.0, 2.0, 0.0], (0, 4)),
        ([150, 140, 150, 145], [9.5, 0.5, 0.5, 1.0], (0, 2)),
    ],
)
def test_tests_that_cannot_both_be_right_are_named(hr, drift, pair):
    found = estimate(hr, drift)
    assert found.contradiction == pair
    assert names(found)[0] == "tests contradict"
    assert found.has_best_guess == (len(hr) > 2 and found.bounded == "both")


def test_scatter_heat_and_a_rising_threshold_are_no_contradiction():
    assert estimate([150, 155, 160], [5.0, 1.5, 3.0]).contradiction is None
    assert estimate([150, 150], [1.0, 8.0], temperature_c=[15.0, 35.0]).contradiction is None
    assert estimate([150, 150], [8.0, 1.0], weeks=[0.0, 60.0]).contradiction is None
    assert estimate([150, 160], [1.0, 9.0]).contradiction is None


def test_the_first_test_says_no_contradiction_and_two_at_one_setting_agree():
    assert estimate([150], [12.0]).contradiction is None
    assert estimate([150, 151], [3.0, 4.0]).contradiction is None


def test_many_clean_tests_on_a_line_find_its_crossing():
    """Drift 0.5 % per bpm above 150 bpm, exactly 5 % at 160."""
    hr = np.arange(146.0, 168.0, 2.0)
    found = estimate(hr, np.maximum(0.0, 0.5 * (hr - 150)), 0.2)
    assert abs(found.hr_bpm - 160.0) < 1.0
    assert found.hr_low_bpm < found.hr_q25_bpm < found.hr_bpm < found.hr_q75_bpm < found.hr_high_bpm


def test_order_of_giving_does_not_matter_where_weeks_are_told_and_inputs_stay():
    hr, drift, se = np.array([150.0, 163.0, 158.0]), np.array([1.0, 6.0, 3.0]), np.array([0.4, 0.5, 0.6])
    weeks = np.array([0.0, 5.0, 2.0])
    kept = hr.copy(), drift.copy(), se.copy()
    forward = estimate_first_threshold(hr, drift, se, weeks=weeks)
    back = estimate_first_threshold(hr[::-1], drift[::-1], se[::-1], weeks=weeks[::-1])
    assert back.hr_bpm == pytest.approx(forward.hr_bpm, abs=1e-9)
    assert back.hr_bpm != pytest.approx(estimate_first_threshold(hr, drift, se).hr_bpm, abs=1e-6)
    for now, before in zip((hr, drift, se), kept, strict=True):
        assert np.array_equal(now, before)


def test_old_tests_count_for_less():
    hr, drift = [150, 155, 160, 165, 158], [1.0, 2.5, 5.0, 7.5, 2.0]
    fresh, old = (estimate(hr, drift, weeks=[0, 1, 2, 3, last]) for last in (4, 40))
    assert old.hr_bpm > fresh.hr_bpm
    assert old.width_bpm > fresh.width_bpm
    assert estimate(hr, drift, weeks=[0, 0, 0, 0, 0]).width_bpm < fresh.width_bpm


def test_a_walk_keeps_all_probability_and_stays_with_one_day():
    """Each row of the walk sums to 1; after a week its spread is the two parts' own."""
    walk = walking._walk(81, 1.0).astype(float)
    steps = np.arange(81) - 40.0
    assert np.allclose(walk.sum(axis=1), 1.0, atol=1e-6)
    assert (walk[40] * steps**2).sum() == pytest.approx(0.92 * 1.0 + 0.08 * 36.0, rel=0.02)


def test_the_table_of_curves_is_the_curves():
    anchor = np.arange(120.0, 190.0)
    drift, slope = walking._at(anchor, 153.37)
    exact, steep = drift_curve.curves(drift_curve.ANCHOR_PCT).drift_and_slope(153.37, anchor)
    assert np.allclose(drift, exact, atol=0.02)
    assert np.allclose(slope, steep, atol=0.05)


def test_one_test_by_the_formula():
    """One test: no walk, so the posterior is Student's t about every curve times what is usual, summed up."""
    from scipy import stats

    known = fitted([155.0], [4.0], hr_max_bpm=190.0)
    anchor, family = known.known.anchor_bpm, drift_curve.curves(5.0)
    drift, slope = family.drift_and_slope(155.0, anchor)
    total = np.zeros(anchor.size)
    for day in walking.DAY_SDS_PCT:
        scale = np.sqrt((HALF**2 + (slope * 1.8) ** 2 + day**2) * 4 / 6)
        weight = np.exp(family.log_prior - 0.5 * (np.log(day) / walking.DAY_LOG_SD) ** 2)
        total += (weight * stats.t.pdf(4.0, 6, loc=drift, scale=scale)).sum(axis=0)
    usual = 0.75 * stats.norm.pdf(anchor, 0.83 * 190, 12) + 0.25 * stats.norm.pdf(anchor, 159, 15)
    total *= np.where(anchor <= 190, usual, 0.0)
    assert np.allclose(known.probability, total / total.sum(), atol=2e-5)


def test_a_maximum_from_age_counts_for_less_and_one_under_medicine_not_at_all():
    test = ([150], [1.0])
    sure, guessed = (estimate(*test, hr_max_bpm=180, hr_max_from=m) for m in ("measured", "predicted"))
    assert guessed.hr_high_bpm > 180 > sure.hr_high_bpm
    assert "maximum from age" in names(guessed)
    told = [estimate(*test, hr_max_bpm=top, medicine=True) for top in (150.0, 200.0, None)]
    assert told[0] == told[1] == told[2]
    assert names(told[0]) == ["only a lower end held", "one test only", "no maximum under medicine"]
    assert told[0].hr_high_bpm < sure.hr_high_bpm


def test_at_least_is_more_careful_in_heat():
    hr, drift = np.array([150.0, 155.0]), np.array([0.5, 1.0])
    cool = estimate(hr, drift)
    hot = estimate(hr + 0.8 * 5, drift + 0.4 * 5, temperature_c=[26.0, 26.0])
    assert hot.hr_low_bpm < cool.hr_low_bpm - 0.3 * 5


def test_heat_is_brought_back_and_said():
    cool = estimate([150, 158], [2.0, 5.0])
    hot = estimate([154, 162], [4.0, 7.0], temperature_c=[26.0, 26.0])
    assert hot.hr_bpm == pytest.approx(cool.hr_bpm, abs=1.0)
    assert hot.width_bpm > cool.width_bpm
    (said,) = [c for c in hot.caveats if c.name == "brought back from heat"]
    assert (said["n_hot"], said["reference_c"], said["most_bpm"]) == (2, 21.0, pytest.approx(4.0))


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
    pull = FittedSeries(drift_series(hr, drift, se)).pulls_bpm()
    without_last = estimate_first_threshold(hr[:2], drift[:2], se[:2])
    assert pull[2] == pytest.approx(
        estimate_first_threshold(hr, drift, se).hr_bpm - without_last.hr_bpm, abs=0.6
    )


def test_posterior_sums_to_one_and_agrees_with_the_result():
    known = fitted([148, 156, 163], [1.0, 3.4, 7.1])
    assert known.probability.sum() == pytest.approx(1.0)
    below = known.probability[known.grid_bpm < known.threshold.hr_low_bpm].sum()
    assert below == pytest.approx(0.05, abs=0.03)


def test_what_is_said_of_one_end_is_the_less_favourable_answer():
    """Under the prior about the lowest test "at least" is weaker; that answer is told."""
    known = fitted([140, 143], [0.5, 0.5], hr_max_bpm=215)
    main = drift_curve.share_below(known.grid_bpm, known.probability, 155.0)
    assert known.bounded == "below"
    assert known.probability_below(155.0) > main


def test_curve_band_meets_the_criterion_at_the_median():
    hr, drift = [150, 155, 160, 165], [1.0, 2.5, 5.0, 7.5]
    known = fitted(hr, drift)
    low, median, high = known.curve_band(np.array([145.0, known.threshold.hr_bpm, 170.0]))
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
    answers, bounds = [], set()
    for criterion in (3.0, 5.0, 6.0):
        found = estimate_first_threshold(
            hr, drift, se, criterion_pct=criterion, hr_max_bpm=hr_max, temperature_c=temperature
        )
        bounds.add(found.bounded)
        answers.append(
            [found.hr_low_bpm, found.hr_q25_bpm, found.hr_bpm, found.hr_q75_bpm, found.hr_high_bpm]
        )
    assert np.isfinite(answers).all()
    assert (np.diff(answers, axis=1) >= 0).all()
    # "at least" is more careful than the lower end of an interval, "at most" than the upper
    same = slice(None) if len(bounds) == 1 else slice(1, -1)
    assert (np.diff(np.array(answers)[:, same], axis=0) >= -1e-9).all()


@pytest.mark.parametrize("criterion", [1.0, 2.5, 5.0, 7.0, 15.0])
def test_the_crossing_of_every_curve_has_the_criterion(criterion):
    family = drift_curve.curves(drift_curve.ANCHOR_PCT)
    distance = family.distance_to(criterion)[:, None]
    reached = family.floor_pct + drift_curve.LEAST_RISE_PCT <= criterion
    drift, _ = family.drift_and_slope(150.0 + distance, np.array([150.0]))
    assert np.allclose(drift[reached], criterion)


def test_a_test_above_the_maximum_is_said():
    assert "test above the maximum" in names(estimate([170, 185], [1.0, 4.0], hr_max_bpm=180))


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
    monkeypatch.setattr(walking, "STEP_BPM", 0.25)
    walking._table.cache_clear(), walking._walk.cache_clear()
    try:
        fine = estimate(*PRACTICE)
    finally:
        walking._table.cache_clear(), walking._walk.cache_clear()
    assert abs(fine.hr_bpm - coarse.hr_bpm) < 0.2
    assert abs(fine.hr_low_bpm - coarse.hr_low_bpm) < 0.2


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
    with pytest.raises(BadArgument, match=r"2 tests need 2 times in weeks; 1 were given"):
        estimate([150, 151], [1.0, 2.0], weeks=[1.0])
