"""Whatever the bytes: an activity that keeps its promises, or a sentence.  Nothing else comes out."""

import numpy as np
from fitmutations import edited, edits, other_writers_file, own_file
from hypothesis import given, settings
from hypothesis import strategies as st
from said import said

from coachlib.errors import CoachError
from coachlib.files.fit.reading import read_fit_bytes

COLUMNS = [
    "time_s",
    "hr_bpm",
    "speed_mps",
    "power_w",
    "cadence_rpm",
    "altitude_m",
    "distance_m",
    "temperature_c",
]


def test_a_file_by_another_writer():
    activity = read_fit_bytes(other_writers_file())
    assert said(activity) == ()
    assert (activity.sport, activity.sub_sport, activity.device) == ("running", "treadmill", "77")
    assert activity.samples["hr_bpm"].tolist() == [120.0 + s for s in range(60)]
    assert activity.samples["cadence_rpm"].tolist() == [168.0] * 60
    np.testing.assert_allclose(activity.samples["speed_mps"], 2.8)
    np.testing.assert_allclose(activity.samples["distance_m"], [round(2.8 * s, 2) for s in range(60)])


def promises_hold(data):
    """Read the bytes; check what every activity promises."""
    try:
        activity = read_fit_bytes(data)
    except CoachError as problem:
        if "cannot be read around" in str(problem):
            raise
        return
    samples = activity.samples
    assert list(samples.columns) == COLUMNS
    assert {str(kind) for kind in samples.dtypes} == {"float64"}
    assert samples["time_s"].iloc[0] == 0.0
    assert (np.diff(samples["time_s"]) > 0).all()
    assert not np.isinf(samples.to_numpy()).any()
    assert not (samples["hr_bpm"] < 1).any()
    assert (activity.laps["stop_s"] > activity.laps["start_s"]).all()
    assert (activity.pauses["stop_s"] > activity.pauses["start_s"]).all()
    assert activity.rr_s.shape == activity.rr_time_s.shape
    assert (np.diff(activity.rr_time_s) >= 0).all()
    assert activity.parts[activity.part].sport == activity.sport
    assert activity.started_at.utcoffset().total_seconds() == 0
    assert all(said(activity))


@settings(max_examples=600, deadline=None, derandomize=True, database=None)
@given(changes=edits, is_own=st.booleans())
def test_changed_bytes(changes, is_own):
    promises_hold(edited(own_file() if is_own else other_writers_file(), changes))


@settings(max_examples=150, deadline=None, derandomize=True, database=None)
@given(body=st.binary(max_size=200))
def test_any_bytes_behind_a_good_start(body):
    promises_hold(body)
    promises_hold(own_file()[:200] + body)
