import numpy as np
import pytest

from coachlib.measures.common.spans import Span
from coachlib.measures.drift_test import validity
from coachlib.measures.drift_test.drift import heart_rate_drift
from coachlib.report.words.catalogue import sentence

HOUR = Span(start_s=900, stop_s=4500)


def drift_of(drift_pct=2.0, *, minutes=60, used=None, noise=0.5):
    """An even rise with a known drift over its window."""
    t = np.arange(60.0 * minutes) + 0.5
    hr = 150 * (1 + drift_pct / 100 * (t / (30 * minutes) - 0.5))
    hr = hr + np.random.default_rng(1).normal(0, noise, t.size)
    used = np.ones(t.size, dtype=bool) if used is None else used(t)
    return heart_rate_drift(t, hr, used, start_s=0, stop_s=60 * minutes)


@pytest.mark.parametrize(
    ("minutes", "name", "severity"),
    [
        (18, "no window for a test", "void"),
        (20, "short window", "note"),
        (44, "short window", "note"),
        (45, "less than an hour", "note"),
    ],
)
def test_short_windows(minutes, name, severity):
    found = validity.window_length(drift_of(minutes=minutes), criterion_pct=5.0)
    assert (found.name, found.code["minutes"], found.severity) == (name, minutes, severity)


def test_a_short_hour_is_held_against_its_share():
    found = validity.window_length(drift_of(minutes=48), criterion_pct=5.0)
    assert found.code["share_pct"] == pytest.approx(4.0)


def test_an_hour_is_no_short_window():
    assert validity.window_length(drift_of(minutes=60), criterion_pct=5.0) is None


def test_a_change_inside_voids_and_one_at_the_edge_does_not():
    found = validity.setting_changed(HOUR, [900.0, 2000.0, 3000.0])
    assert (found.code["n_changes"], found.severity) == (2, "void")
    assert sentence(found.code).startswith("the setting changed 2 times inside the window, first at 0:33: ")
    assert validity.setting_changed(HOUR, [600.0, 900.0, 4490.0, 4600.0]) is None
    assert validity.setting_changed(HOUR, [2000.0], is_sure=False).severity == "doubt"


@pytest.mark.parametrize(
    ("minutes", "added", "severity"), [(0, 1.17, "doubt"), (5, 0.33, "doubt"), (10, 0.14, "note")]
)
def test_a_warm_up_below_the_setting_of_the_test(minutes, added, severity):
    """Means of simulated runs by minutes at the setting: +1.17, +.33, +.14 over an hour."""
    found = validity.warm_up(HOUR, 900.0 - 60 * minutes)
    assert (found.code["minutes"], found.severity) == (minutes, severity)
    assert found.code["added_pct"] == pytest.approx(added)
    assert validity.warm_up(HOUR, 0.0) is None


def test_settling_weighs_more_in_a_short_window():
    """Simulated for 20 min: +2.79 without any wait."""
    found = validity.warm_up(Span(start_s=0, stop_s=1200), 0.0)
    assert found.code["added_pct"] == pytest.approx(2.79, abs=0.4)


def test_pauses():
    short = Span(start_s=2000, stop_s=2060)
    after = Span(start_s=2000, stop_s=2300)
    assert validity.pause_inside(HOUR, [Span(start_s=100, stop_s=200)]) is None
    assert sentence(validity.pause_inside(HOUR, [short]).code).endswith("leave them and 4 min after each out")
    assert validity.pause_inside(HOUR, [short], [after]).severity == "note"
    long_one = validity.pause_inside(HOUR, [Span(start_s=2000, stop_s=2200)], [after])
    assert (long_one.code["pause_s"], long_one.severity) == (200, "doubt")
    assert "start the window 15 min after the pause" in sentence(long_one.code)


@pytest.mark.parametrize(("keep", "severity"), [(0.9, None), (0.7, "doubt"), (0.5, "void")])
def test_too_much_left_out(keep, severity):
    found = validity.left_out(drift_of(used=lambda t: (t % 10) < 10 * keep))
    assert (found.severity if found else None) == severity
    assert found is None or found.code["left_out_pct"] == pytest.approx(100 * (1 - keep))


def test_heat():
    assert validity.heat(drift_of(), None) is None
    assert validity.heat(drift_of(), 21.0) is None
    found = validity.heat(drift_of(), 28.0)
    assert (found.code["temperature_c"], found.severity) == (28.0, "doubt")
    assert found.code["added_pct"] == pytest.approx(2.8)
    assert validity.heat(drift_of(minutes=30), 28.0).code["added_pct"] == pytest.approx(1.4)


def test_odd_drifts():
    assert validity.odd_drift(drift_of(-0.1)) is None
    assert validity.odd_drift(drift_of(9.0)) is None
    assert "heart rate fell by 3.0 % over 60 min" in sentence(validity.odd_drift(drift_of(-3.0)).code)
    assert validity.odd_drift(drift_of(12.0)).name == "high drift"
    half_hour = validity.odd_drift(drift_of(6.0, minutes=30))
    assert "heart rate rose by 6.0 % over 30 min" in sentence(half_hour.code)


def test_heart_rate_that_wanders_and_output_that_does():
    t = np.arange(1800.0)
    waves = heart_rate_drift(t, 150 + 15 * np.sin(t / 200), t >= 0, start_s=0, stop_s=1800)
    found = validity.uneven_heart_rate(waves)
    assert found.severity == "void"
    assert validity.uneven_heart_rate(drift_of(noise=3.0)) is None
    assert validity.uneven_output(0.12, is_power=True) is None
    assert validity.uneven_output(None, is_power=False) is None
    assert validity.uneven_output(0.12, is_power=False).code["scatter_pct"] == pytest.approx(12)


def test_an_answer_that_hangs_on_the_ends_of_the_window():
    t = np.arange(4800.0)
    late = np.where(t > 4200, 20.0 * (t - 4200) / 600, 0.0)
    options = {"window": Span(start_s=600, stop_s=4500), "interval_pct": 0.5}
    whole = Span(start_s=0, stop_s=4800)
    found = validity.window_sensitivity(t, 150 + late, t >= 0, reach=whole, **options)
    assert _spread(found) > 1
    assert found.severity == "doubt"
    held = validity.window_sensitivity(
        t, 150 + late, t >= 0, reach=whole, window=options["window"], interval_pct=9
    )
    assert held.severity == "note"
    # ends may not be moved over a change of setting
    stuck = validity.window_sensitivity(
        t, 150 + late, t >= 0, reach=Span(start_s=600, stop_s=4500), **options
    )
    assert _spread(stuck) < _spread(found)


def _spread(found):
    return found.code["high_pct"] - found.code["low_pct"]


def test_the_strap():
    spans = [
        Span(start_s=1000, stop_s=1100, reason="static"),
        Span(start_s=2000, stop_s=2100, reason="dropout"),
    ]
    assert validity.strap(HOUR, spans).code["bad_pct"] == pytest.approx(100 * 200 / 3600)
    assert validity.strap(HOUR, spans[:1]) is None
    assert validity.strap(HOUR, [Span(start_s=1000, stop_s=2000, reason="rise")]) is None
    assert validity.strap(HOUR, (), like_cadence=True).name == "like cadence"


def test_unanswered_suggestions_matter_when_they_move_the_drift():
    little = [Span(start_s=0, stop_s=20, reason="rise", effect_pct=0.05)]
    assert validity.open_suggestions(little) is None
    assert (
        validity.open_suggestions([*little, Span(start_s=0, stop_s=9, effect_pct=-1.2)]).severity == "doubt"
    )
