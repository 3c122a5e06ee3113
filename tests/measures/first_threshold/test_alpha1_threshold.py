"""What beat intervals say about the first threshold, on beats of known memory."""

import numpy as np
import pytest
from demo import simulate

from coachlib.errors import TooLittleData, UnfitTest
from coachlib.measures.first_threshold.alpha1_threshold import alpha1_crossing, steady_alpha1
from coachlib.measures.first_threshold.beats import alpha1

CURVE = simulate.DriftCurve(threshold_bpm=152.0)


def scaling(rng, n, smoothing):
    """Beats that scale the steeper, the longer the mean they are smoothed by."""
    noise = rng.normal(0, 1, n + smoothing - 1)
    return 0.4 + 0.005 * np.convolve(noise, np.ones(smoothing), "valid") / np.sqrt(smoothing)


def ramp(seed, *, low_bpm=118.0, high_bpm=182.0, minutes=25):
    """Beats of a ramp by the simulator: their memory fades through the threshold."""
    rng = np.random.default_rng(seed)
    time_s = np.arange(60.0 * minutes)
    return simulate.beats(time_s, np.linspace(low_bpm, high_bpm, time_s.size), curve=CURVE, rng=rng)


def where_alpha1_is_075():
    """Heart rate at which beats of an hour at one level read 0.75: the truth that a ramp should find."""
    time_s, levels = np.arange(3600.0), np.arange(140.0, 161.0, 2.0)
    reads = [
        np.mean(alpha1(simulate.beats(time_s, np.full(3600, level), curve=CURVE, rng=np.random.default_rng(1)),
                       width_s=120, step_s=60)[1])
        for level in levels
    ]  # fmt: skip
    return np.interp(-0.75, -np.array(reads), levels)


@pytest.mark.parametrize(("smoothing", "supports"), [(1, "above"), (12, "below")])
def test_a_steady_stretch_speaks_for_one_side(smoothing, supports):
    found = steady_alpha1(scaling(np.random.default_rng(4), 3000, smoothing))
    assert found.supports == supports
    assert found.low < found.alpha1 < found.high
    assert found.n_windows == 10 == found.used_s / 120
    assert not found.is_doubtful


def test_a_middling_stretch_cannot_tell():
    assert steady_alpha1(scaling(np.random.default_rng(4), 3000, 2)).supports == "cannot tell"


def test_spoilt_windows_are_left_out_and_said():
    rr_s = scaling(np.random.default_rng(4), 3000, 1)
    rr_s[0:300:9] *= 1.5
    found = steady_alpha1(rr_s)
    assert found.n_windows == 9
    assert [(c.name, c["n"], c["n_windows"]) for c in found.caveats] == [("windows of beats left out", 1, 10)]
    rr_s[::9] *= 1.5
    with pytest.raises(
        TooLittleData, match="11 % of these beats look like artefacts; alpha1 needs at most 5 %"
    ):
        steady_alpha1(rr_s)
    with pytest.raises(TooLittleData, match="none of the 2 given is usable"):
        steady_alpha1(np.array([np.nan, np.nan]))


@pytest.mark.parametrize(("every", "is_doubtful"), [(40, False), (25, True)])
def test_more_than_three_in_a_hundred_beats_corrected_is_doubtful(every, is_doubtful):
    rr_s = scaling(np.random.default_rng(4), 3000, 12)
    rr_s[10::every] *= 1.4
    found = steady_alpha1(rr_s)
    assert found.is_doubtful == is_doubtful
    assert found.flagged_frac == pytest.approx(1 / every, abs=0.002)
    assert found.supports == "below"
    assert bool(found.caveats) == is_doubtful


def test_beats_that_the_coach_left_out_cost_their_windows_and_are_no_artefacts():
    rr_s = scaling(np.random.default_rng(4), 3000, 12)
    used = np.ones(3000, dtype=bool)
    used[100:160] = False
    found = steady_alpha1(rr_s, used)
    assert (found.n_windows, found.flagged_frac) == (9, 0.0)
    with pytest.raises(
        TooLittleData, match="needs 3 windows of 120 s with at most 5 % of beats corrected; found 2"
    ):
        steady_alpha1(rr_s[:1000], used[:1000])


def test_a_ramp_finds_the_heart_rate_at_which_alpha1_is_075():
    truth = where_alpha1_is_075()
    found = np.array([alpha1_crossing(ramp(seed)).hr_bpm for seed in range(30)])
    assert found.mean() == pytest.approx(truth, abs=1.5)
    assert np.subtract(*np.percentile(found, [90, 10])) < 9, "what one ramp is said to differ from the next"


def test_the_interval_of_a_ramp_holds_how_far_people_differ():
    found = alpha1_crossing(ramp(1))
    assert found.hr_high_bpm - found.hr_bpm == pytest.approx(1.645 * np.hypot(3.3, 13.0))
    assert found.hr_bpm - found.hr_low_bpm == pytest.approx(found.hr_high_bpm - found.hr_bpm)
    assert found.se_bpm == 3.3
    assert 1400 < found.used_s <= 1500


def test_a_ramp_on_one_side_only_is_refused_with_what_to_do():
    with pytest.raises(UnfitTest, match=r"not above 0.75 .* began at 16\d bpm. Begin the next one easier"):
        alpha1_crossing(ramp(1, low_bpm=162.0))
    with pytest.raises(
        UnfitTest, match=r"did not stay below 0.75 .* ended at 13\d bpm. Let the next one go further"
    ):
        alpha1_crossing(ramp(1, high_bpm=138.0))
    with pytest.raises(UnfitTest, match=r"at the start of this ramp\. Begin"):
        alpha1_crossing(ramp(1, minutes=1))
