"""Recordings of one session are found; two sessions are left alone."""

from datetime import timedelta

import numpy as np
import pytest
from built_activity import START, built_activity

from coachlib.analysis.recording.duplicates import duplicate_of


def second_device(activity, *, lag_s=0, later_s=0, noise=1.0, seconds=3300, **changes):
    """The same heart on another device: started later, showing it ``lag_s`` late, with noise."""
    rng = np.random.default_rng(7)
    hr = activity.samples["hr_bpm"].to_numpy()
    at = np.clip(np.arange(seconds) + later_s - lag_s, 0, hr.size - 1)
    return built_activity(
        seconds=seconds,
        seed=2,
        hr_bpm=np.round(hr[at] + rng.normal(0, noise, seconds)),
        started_at=START + timedelta(seconds=later_s),
        **changes,
    )


def test_the_same_bytes():
    assert duplicate_of(built_activity(), built_activity()).sameness == "same bytes"


def test_a_re_export_has_other_bytes_and_the_same_values():
    found = duplicate_of(built_activity(), built_activity(sha256="f" * 64))
    assert (found.sameness, found.overlap_frac) == ("same values", 1.0)


def test_a_re_export_that_lost_a_column_is_still_the_same():
    one = built_activity(power_w=np.full(3600, 200.0))
    assert duplicate_of(one, built_activity(sha256="f" * 64)).sameness == "same values"


@pytest.mark.parametrize("lag_s", [-14, 0, 14])
def test_two_devices_agree_at_their_lag(lag_s):
    one = built_activity()
    found = duplicate_of(one, second_device(one, lag_s=lag_s, later_s=60))
    assert found.sameness == "two devices"
    assert found.hr_correlation >= 0.95
    assert found.lag_s == pytest.approx(lag_s, abs=1)


def test_two_devices_agree_on_other_sampling():
    one = built_activity(step_s=1.0)
    sparse = built_activity(
        step_s=4.0, seed=2, hr_bpm=one.samples["hr_bpm"].to_numpy()[::4], started_at=START
    )
    assert duplicate_of(one, sparse).sameness == "two devices"


@pytest.mark.parametrize("hr_bpm", [np.full(3600, np.nan), np.full(3600, 140.0)])
def test_without_telling_heart_rate_only_the_time_is_the_same(hr_bpm):
    found = duplicate_of(built_activity(), built_activity(seed=2, hr_bpm=hr_bpm))
    assert (found.sameness, found.hr_correlation) == ("same time", None)


def test_two_people_at_the_same_time_do_not_agree():
    found = duplicate_of(built_activity(seed=1), built_activity(seed=3))
    assert found.sameness == "same time"
    assert found.hr_correlation < 0.95


@pytest.mark.parametrize("later_s", [3600, 86400, 1000])
def test_sessions_that_share_little_time_are_two(later_s):
    later = built_activity(seed=2, started_at=START + timedelta(seconds=later_s))
    assert duplicate_of(built_activity(), later) is None
    assert duplicate_of(later, built_activity()) is None


def test_the_shorter_one_decides_the_overlap():
    short = built_activity(seconds=600, seed=4, started_at=START + timedelta(seconds=100))
    assert duplicate_of(built_activity(), short).overlap_frac == 1.0


def test_an_empty_recording_is_no_duplicate():
    assert duplicate_of(built_activity(seconds=0), built_activity(seed=2)) is None


def test_recordings_are_not_altered():
    one, other = built_activity(), built_activity(seed=2)
    before = one.samples.copy(), other.samples.copy()
    duplicate_of(one, other)
    assert one.samples.equals(before[0])
    assert other.samples.equals(before[1])
