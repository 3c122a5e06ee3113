from dataclasses import replace

import numpy as np
import pytest

from coachlib.measures.common.spans import Span
from coachlib.measures.drift_test import validity
from coachlib.measures.drift_test.drift import heart_rate_drift
from coachlib.measures.drift_test.verdict import verdict

HOUR = Span(start_s=900, stop_s=4500)


def drift_of(drift_pct=2.0, *, minutes=60, used=None, noise=0.5):
    """An even rise with a known drift over its window."""
    t = np.arange(60.0 * minutes) + 0.5
    hr = 150 * (1 + drift_pct / 100 * (t / (30 * minutes) - 0.5))
    hr = hr + np.random.default_rng(1).normal(0, noise, t.size)
    used = np.ones(t.size, dtype=bool) if used is None else used(t)
    return heart_rate_drift(t, hr, used, start_s=0, stop_s=60 * minutes)


@pytest.mark.parametrize(
    ("minutes", "severity", "consequence"),
    [
        (18, "void", "take a longer window or repeat the test"),
        (20, "note", "hold the drift against 1.7 %, not 5 %"),
        (40, "note", "hold the drift against 3.3 %, not 5 %"),
    ],
)
def test_short_windows(minutes, severity, consequence):
    found = validity.window_length(drift_of(minutes=minutes), criterion_pct=5.0)
    assert (found.number, found.severity, found.consequence) == (minutes, severity, consequence)


def test_an_hour_is_no_short_window():
    assert validity.window_length(drift_of(minutes=60), criterion_pct=5.0) is None


def test_a_change_inside_voids_and_one_at_the_edge_does_not():
    found = validity.setting_changed(HOUR, [900.0, 2000.0, 3000.0])
    assert (found.number, found.severity) == (2, "void")
    assert found.sentence == "the setting changed 2 times inside the window, first at 0:33"
    assert validity.setting_changed(HOUR, [600.0, 900.0, 4490.0, 4600.0]) is None
    assert validity.setting_changed(HOUR, [2000.0], is_sure=False).severity == "doubt"


@pytest.mark.parametrize(
    ("minutes", "added", "severity"), [(0, "1.2", "doubt"), (5, "0.3", "doubt"), (10, "0.1", "note")]
)
def test_a_warm_up_below_the_setting_of_the_test(minutes, added, severity):
    """Means of simulated runs by minutes at the setting: +1.17, +.33, +.14 over an hour."""
    found = validity.warm_up(HOUR, 900.0 - 60 * minutes)
    assert (found.number, found.severity) == (minutes, severity)
    assert found.consequence == f"about {added} points of the drift may be settling"
    assert validity.warm_up(HOUR, 0.0) is None


def test_settling_weighs_more_in_a_short_window():
    """Simulated for 20 min: +2.79 without any wait."""
    found = validity.warm_up(Span(start_s=0, stop_s=1200), 0.0)
    assert float(found.consequence.split()[1]) == pytest.approx(2.79, abs=0.4)


def test_pauses():
    short = Span(start_s=2000, stop_s=2060)
    after = Span(start_s=2000, stop_s=2300)
    assert validity.pause_inside(HOUR, [Span(start_s=100, stop_s=200)]) is None
    assert validity.pause_inside(HOUR, [short]).consequence == "leave the pause and 4 min after it out"
    assert validity.pause_inside(HOUR, [short], [after]).severity == "note"
    long_one = validity.pause_inside(HOUR, [Span(start_s=2000, stop_s=2200)], [after])
    assert (long_one.number, long_one.severity) == (200, "doubt")
    assert "start the window 15 min after the pause" in long_one.consequence


@pytest.mark.parametrize(("keep", "severity"), [(0.9, None), (0.7, "doubt"), (0.5, "void")])
def test_too_much_left_out(keep, severity):
    found = validity.left_out(drift_of(used=lambda t: (t % 10) < 10 * keep))
    assert (found.severity if found else None) == severity
    assert found is None or found.number == pytest.approx(100 * (1 - keep))


def test_heat():
    assert validity.heat(drift_of(), None) is None
    assert validity.heat(drift_of(), 21.0) is None
    found = validity.heat(drift_of(), 28.0)
    assert (found.number, found.severity) == (28.0, "doubt")
    assert found.consequence == "about 2.8 points of the drift may be heat"
    assert "about 1.4 points" in validity.heat(drift_of(minutes=30), 28.0).consequence


def test_odd_drifts():
    assert validity.odd_drift(drift_of(-0.1)) is None
    assert validity.odd_drift(drift_of(9.0)) is None
    assert validity.odd_drift(drift_of(-3.0)).sentence == "heart rate fell by 3.0 % over the window"
    assert validity.odd_drift(drift_of(12.0)).name == "high drift"
    assert (
        validity.odd_drift(drift_of(6.0, minutes=30)).sentence
        == "heart rate rose at a rate of 12.0 % an hour"
    )


def test_heart_rate_that_wanders_and_output_that_does():
    t = np.arange(1800.0)
    waves = heart_rate_drift(t, 150 + 15 * np.sin(t / 200), t >= 0, start_s=0, stop_s=1800)
    found = validity.uneven_heart_rate(waves)
    assert found.severity == "void"
    said = verdict(waves, [found], criterion_pct=5.0)
    assert said.startswith("Heart rate was uneven over these 30 min. This is no valid test")
    assert validity.uneven_heart_rate(drift_of(noise=3.0)) is None
    assert validity.uneven_output(0.12, is_power=True) is None
    assert validity.uneven_output(None, is_power=False) is None
    assert validity.uneven_output(0.12, is_power=False).number == pytest.approx(12)


def test_an_answer_that_hangs_on_the_ends_of_the_window():
    t = np.arange(4800.0)
    late = np.where(t > 4200, 20.0 * (t - 4200) / 600, 0.0)
    options = {"window": Span(start_s=600, stop_s=4500), "interval_pct": 0.5}
    whole = Span(start_s=0, stop_s=4800)
    found = validity.window_sensitivity(t, 150 + late, t >= 0, reach=whole, **options)
    assert found.number > 1
    assert found.severity == "doubt"
    held = validity.window_sensitivity(
        t, 150 + late, t >= 0, reach=whole, window=options["window"], interval_pct=9
    )
    assert held.severity == "note"
    # ends may not be moved over a change of setting
    stuck = validity.window_sensitivity(
        t, 150 + late, t >= 0, reach=Span(start_s=600, stop_s=4500), **options
    )
    assert stuck.number < found.number


def test_the_strap():
    spans = [
        Span(start_s=1000, stop_s=1100, reason="static"),
        Span(start_s=2000, stop_s=2100, reason="dropout"),
    ]
    assert validity.strap(HOUR, spans).number == pytest.approx(100 * 200 / 3600)
    assert validity.strap(HOUR, spans[:1]) is None
    assert validity.strap(HOUR, [Span(start_s=1000, stop_s=2000, reason="rise")]) is None
    assert validity.strap(HOUR, (), like_cadence=True).name == "like cadence"


def test_unanswered_suggestions_matter_when_they_move_the_drift():
    little = [Span(start_s=0, stop_s=20, reason="rise", effect_pct=0.05)]
    assert validity.open_suggestions(little) is None
    assert (
        validity.open_suggestions([*little, Span(start_s=0, stop_s=9, effect_pct=-1.2)]).severity == "doubt"
    )


def test_the_verdict_of_a_low_drift():
    said = verdict(drift_of(1.3), (), criterion_pct=5.0)
    assert said.startswith("Heart rate rose 1.3 % (")
    assert said.endswith(
        "That is below 5 %, also with ordinary day-to-day scatter: "
        "the first threshold, read from drift, lies above 150 bpm."
    )


def test_the_verdict_near_the_criterion_claims_nothing():
    said = verdict(drift_of(5.2), (), criterion_pct=5.0)
    assert "That is near 5 %: with ordinary day-to-day scatter one test does not show the side." in said
    unsure = replace(drift_of(8.0), day_low_pct=3.0)
    assert "That cannot be told from 5 %" in verdict(unsure, (), criterion_pct=5.0)


def test_the_verdict_of_a_fall_says_fell():
    said = verdict(drift_of(-2.0), (), criterion_pct=5.0)
    assert said.startswith("Heart rate fell 2.0 % (")


def test_a_void_test_has_no_threshold_in_its_verdict():
    found = validity.setting_changed(HOUR, [2000.0])
    said = verdict(drift_of(1.0), [found], criterion_pct=5.0)
    assert "This is no valid test: the setting changed once inside the window, at 0:33." in said
    assert "threshold" not in said


def test_a_doubt_is_said_and_the_others_are_counted():
    doubts = [validity.heat(drift_of(), 28.0), validity.warm_up(HOUR, 900.0)]
    said = verdict(drift_of(1.0), doubts, criterion_pct=5.0)
    assert "But it was 28 degrees Celsius" in said
    assert said.endswith("1 further doubt is listed below.")
