"""The verdict on a steady window in words: one place, whoever reads it."""

from dataclasses import replace

import numpy as np
import pytest
from built_activity import built_activity
from judging import stretch

from coachlib.measures.common.codes import code, found
from coachlib.measures.drift_test.drift import heart_rate_drift
from coachlib.records.decisions import Decisions, Stage, Window
from coachlib.report.words.recording import doubts, verdict
from coachlib.report.words.wording import changed

HELD = Stage(start_s=0, stop_s=4500, speed_mps=3.0, grade=0.0)


def a_test(drift_pct=2.0, *, start_s=900, stop_s=4500, stages=(HELD,), **changes):
    """An even rise with a known drift over the hour from minute 15."""
    t = np.arange(4500.0)
    hr = 150 * (1 + drift_pct / 100 * ((t - 900) / 1800 - 0.5)) + np.random.default_rng(1).normal(
        0, 0.5, t.size
    )
    activity = built_activity(seconds=4500, hr_bpm=hr, is_indoor=True, **changes)
    windows = (Window(start_s=start_s, stop_s=stop_s),)
    return stretch(activity, Decisions(fit_sha256=activity.sha256, windows=windows, stages=stages))


def test_a_low_drift():
    said = verdict(a_test(1.3))
    assert said.startswith("Heart rate rose 1.3 % (")
    assert (
        "That is below 5 %, also with ordinary day-to-day scatter: it is likely that the first threshold lies above "
        "150 bpm." in said
    )


def test_near_the_criterion_nothing_is_claimed():
    said = verdict(a_test(5.2))
    assert "That is near 5 %: with ordinary day-to-day scatter one test does not show on which side" in said
    assert "a second one tells more." in said


def test_a_fall_is_told_by_its_size_with_the_interval_of_the_size():
    t = np.arange(3600.0)
    fall = heart_rate_drift(t, 150 - t / 1200 + np.sin(t), t >= 0, start_s=0, stop_s=3600)
    said = changed(fall.drift_pct, fall.drift_low_pct, fall.drift_high_pct)
    assert said.startswith("fell 1.0 % (")
    low, high = (float(x) for x in said[said.index("(") + 1 : -1].split(" to "))
    assert 0 < low < 1.0 < high


def test_a_void_test_has_no_threshold_in_its_verdict():
    stages = (
        HELD.model_copy(update={"stop_s": 2700.0}),
        Stage(start_s=2700, stop_s=4500, speed_mps=3.2, grade=0.0),
    )
    said = verdict(a_test(1.0, stages=stages))
    assert "This is no valid test: the setting changed once inside the window, at 0:45" in said
    assert "threshold" not in said


def test_less_than_45_minutes_carry_no_verdict_and_no_hourly_figure():
    said = verdict(a_test(1.0, stop_s=3300))
    assert "over 40 min" in said
    assert "less than 45 min carry no verdict" in said.lower()
    assert "hour" not in said
    assert "lies" not in said


def test_a_pace_that_fell_is_said_and_decides_nothing_it_cannot():
    """Slowed down by a heart-rate alarm: heart rate level, pace down by a tenth."""
    t = np.arange(4500.0)
    speed = 3.0 - 0.8 * t / 4500
    said = verdict(a_test(0.0, stages=(), speed_mps=speed))
    assert "Output fell by" in said
    assert "at constant output heart rate would have risen" in said
    assert "lies above" not in said


def test_a_doubt_is_said_and_the_others_are_counted():
    said = doubts(
        [
            found("heat", "doubt", temperature_c=28.0, cool_c=21.0, added_pct=2.8),
            found("strap", "doubt", bad_pct=6.0),
            found("short window", "note", minutes=40.0, least_min=45.0),
        ]
    )
    assert said.startswith("But it was 28 °C")
    assert said.endswith("One further doubt is listed with it.")


@pytest.mark.parametrize("name", ["below", "above", "near"])
def test_without_output_the_setting_is_asked_for_before_a_bare_side(name):
    drift = {"below": 1.0, "above": 9.5, "near": 5.0}[name]
    shown = a_test(drift, stages=())
    assert shown.meaning.name == "setting not known"
    assert shown.meaning["if_held"] == name
    assert "Type the setting in as a stage" in verdict(shown)


def test_under_medicine_drift_means_nothing():
    shown = replace(a_test(1.0), meaning=code("medicine slows the heart"))
    assert "drift says nothing about a threshold" in verdict(shown)
