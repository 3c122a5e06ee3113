from datetime import date

import numpy as np
import pandas as pd
import pytest
from benchmarks.runs import steady_run
from built_activity import built_activity

from coachlib.analysis.recording.drift_test import analyse_drift_test, changes_of_setting, detect, judge
from coachlib.errors import TooLittleData, UnfitTest
from coachlib.measures.drift_test.drift import heart_rate_drift
from coachlib.measures.recording.lag import lagged_output
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window
from coachlib.records.diary import DiaryRow


def a_test(*, seed=1, drift_pct=2.0, minutes=80, **changes):
    """A treadmill run from the first second at its setting; nothing but heart rate is recorded."""
    run = steady_run(np.random.default_rng(seed), minutes=minutes, drift_pct=drift_pct, settled=False)
    return built_activity(
        seconds=60 * minutes, seed=seed, hr_bpm=changes.pop("hr_bpm", run.hr_bpm), **changes
    )


def decided(activity, **fields):
    return Decisions(fit_sha256=activity.sha256, **fields)


def window(start_s=900, stop_s=4500):
    return (Window(start_s=start_s, stop_s=stop_s),)


def names(result):
    return [f.name for f in result.findings]


def test_the_window_of_the_decisions_is_used_and_its_numbers_are_those_of_the_measure():
    activity = a_test()
    decisions = decided(
        activity,
        windows=window(1000, 4000),
        exclusions=(Exclusion(start_s=2000, stop_s=2100, reason="talking"),),
    )
    result = analyse_drift_test(activity, decisions)
    t = activity.samples["time_s"].to_numpy()
    used = (t < 2000) | (t >= 2100)
    assert result.window_from == "decisions"
    assert result.drift == heart_rate_drift(
        t, activity.samples["hr_bpm"].to_numpy(), used, start_s=1000, stop_s=4000
    )
    assert result.excluded_s == 100
    assert result.exclusions == ("talking",)
    assert result.window_criterion_pct == pytest.approx(5 * 3000 / 3600)


def test_without_decisions_the_suggested_window_is_judged_and_said():
    result = analyse_drift_test(a_test(), None)
    assert result.window_from == "suggestion"
    assert (result.window.start_s, result.window.stop_s) == (900, 4500)
    assert result.excluded_s == 0


def test_suggestions_are_shown_and_never_applied():
    activity = a_test()
    hr = activity.samples["hr_bpm"].to_numpy(copy=True)
    hr[3000:3300] += 20
    activity = a_test(hr_bpm=hr)
    hr[1500:1530] += 12
    lifted = a_test(hr_bpm=hr)
    plain, open_one = analyse_drift_test(activity, None), analyse_drift_test(lifted, None)
    assert open_one.drift.drift_pct != plain.drift.drift_pct
    (waiting,) = [s for s in open_one.suggestions if s.start_s < 1530 and s.stop_s > 1500]
    assert waiting.effect_pct == pytest.approx(open_one.drift.drift_pct - plain.drift.drift_pct, abs=0.06)
    exclusion = Exclusion(start_s=waiting.start_s, stop_s=waiting.stop_s, reason=waiting.reason)
    answered = analyse_drift_test(lifted, decided(lifted, windows=window(), exclusions=(exclusion,)))
    assert waiting.start_s not in [s.start_s for s in answered.suggestions]
    assert answered.drift.drift_pct == pytest.approx(open_one.drift.drift_pct - waiting.effect_pct, abs=1e-9)


def test_a_stage_that_begins_inside_the_window_voids_the_test():
    activity = a_test()
    stages = (
        Stage(start_s=0, stop_s=2400, speed_mps=2.7, grade=0.05),
        Stage(start_s=2400, stop_s=4800, speed_mps=2.8),
    )
    result = analyse_drift_test(activity, decided(activity, windows=window(), stages=stages))
    assert result.is_void
    assert result.where == "cannot tell"
    assert names(result)[0] == "setting changed"
    assert "no valid test" in result.verdict


def test_stages_with_equal_settings_that_touch_are_one_setting():
    activity = a_test()
    same = {"speed_mps": 2.7, "grade": 0.06}
    stages = (
        Stage(start_s=0, stop_s=300, speed_mps=2.2, grade=0.0),
        Stage(start_s=300, stop_s=2400, **same),
        Stage(start_s=2400, stop_s=4600, **same),
    )
    decisions = decided(activity, stages=stages)
    t = activity.samples["time_s"].to_numpy()
    assert changes_of_setting(t, None, decisions, is_indoor=True) == (300, 4600)
    result = analyse_drift_test(activity, decisions)
    assert (result.window.start_s, result.window.stop_s) == (1200, 4600)
    assert (result.speed_mps, result.grade, result.power_w) == (2.7, 0.06, None)
    assert "setting changed" not in names(result)


@pytest.mark.parametrize(
    ("is_indoor", "step_kmh", "severity"),
    [(True, 0.6, "void"), (False, 0.6, None), (False, 2.0, "doubt")],
)
def test_a_change_of_speed_is_surer_indoors(is_indoor, step_kmh, severity):
    speed = np.where(np.arange(4800.0) < 2700, 10.0, 10.0 + step_kmh) / 3.6
    activity = a_test(speed_mps=speed, is_indoor=is_indoor)
    result = analyse_drift_test(activity, decided(activity, windows=window()))
    assert [f.severity for f in result.findings if f.name == "setting changed"] == [severity] * bool(severity)
    assert result.is_void == (severity == "void")


def test_a_window_straight_after_the_change_says_what_settling_adds():
    activity = a_test()
    stages = (Stage(start_s=900, stop_s=4800, speed_mps=2.7),)
    result = analyse_drift_test(activity, decided(activity, windows=window(), stages=stages))
    (found,) = [f for f in result.findings if f.name == "warm-up"]
    assert found.consequence == "about 1.2 points of the drift may be settling"
    assert result.verdict.count("But the setting was held for 0 min before the window") == 1


def test_a_pause_counts_until_the_coach_leaves_it_out():
    pauses = pd.DataFrame({"start_s": [2000.0], "stop_s": [2060.0], "why": ["timer"]})
    activity = a_test(pauses=pauses)
    result = analyse_drift_test(activity, decided(activity, windows=window()))
    assert "pause inside" in names(result)
    (suggested,) = [s for s in result.suggestions if s.reason == "pause"]
    assert (suggested.start_s, suggested.stop_s) == (2000, 2300)
    gone = Exclusion(start_s=suggested.start_s, stop_s=suggested.stop_s, reason="pause")
    after = analyse_drift_test(activity, decided(activity, windows=window(), exclusions=(gone,)))
    assert [f.severity for f in after.findings if f.name == "pause inside"] == ["note"]
    assert after.drift.used_s == result.drift.used_s - 300


@pytest.mark.parametrize(
    ("diary_c", "device_c", "found"),
    [(27.0, 31.0, (27.0, "diary")), (None, 31.0, (31.0, "device")), (None, None, (None, None))],
)
def test_temperature_is_the_diarys_before_the_devices(diary_c, device_c, found):
    activity = a_test(temperature_c=np.nan if device_c is None else device_c)
    row = DiaryRow(on=date(2026, 10, 5), temperature_c=diary_c)
    result = analyse_drift_test(activity, None, diary_row=row)
    assert (result.temperature_c, result.temperature_from) == found
    assert ("heat" in names(result)) == (found[0] is not None)
    assert any("degrees Celsius is what the device felt" in c for c in result.caveats) == (
        found[1] == "device"
    )
    assert any("air temperature is not known" in c for c in result.caveats) == (found[1] is None)


def test_settings_nobody_knows_are_said():
    assert any("type the stages in" in c for c in analyse_drift_test(a_test(), None).caveats)


def test_a_change_of_pace_does_not_pass_for_drift():
    t = np.arange(4800.0)
    speed = 3.0 - 0.15 * t / 4800
    hr = 150 + 24.2 * (lagged_output(t, speed) - 3.0)
    activity = built_activity(seconds=4800, hr_bpm=hr, speed_mps=speed)
    result = analyse_drift_test(activity, decided(activity, windows=window()), hr_per_output=24.2)
    assert result.drift.drift_pct < -0.5
    assert result.corrected.drift_pct == pytest.approx(0.0, abs=1e-3)
    assert result.decoupling.loss_pct > 0.5
    assert result.speed_mps == pytest.approx(speed[900:4500].mean())
    assert analyse_drift_test(activity, None).corrected is None


def test_heart_rate_on_the_cadence_is_doubted():
    run = a_test()
    level = run.samples["hr_bpm"].to_numpy() + 22
    result = analyse_drift_test(a_test(hr_bpm=level, cadence_rpm=level + 1), None)
    assert "like cadence" in names(result)


def test_no_heart_rate_and_too_little_of_it_are_refused():
    activity = a_test(hr_bpm=np.nan)
    with pytest.raises(UnfitTest, match="needs heart rate; this recording has none"):
        analyse_drift_test(activity, None)
    short = a_test()
    with pytest.raises(TooLittleData, match="needs 300 s of usable heart rate in each half"):
        analyse_drift_test(short, decided(short, windows=window(900, 1200)))


def test_findings_go_from_void_to_note():
    activity = a_test()
    stages = (Stage(start_s=800, stop_s=2400, speed_mps=2.7), Stage(start_s=2400, stop_s=4800, speed_mps=2.9))
    result = analyse_drift_test(
        activity,
        decided(activity, windows=window(900, 3900), stages=stages),
        diary_row=DiaryRow(on=date(2026, 10, 5), temperature_c=29.0),
    )
    order = [("void", "doubt", "note").index(f.severity) for f in result.findings]
    assert order == sorted(order)
    assert {"setting changed", "heat", "short window"} <= set(names(result))


def test_an_edit_is_judged_without_detecting_again():
    activity = a_test(seed=9)
    detected = detect(activity)
    for start_s in (900, 1000):
        decisions = decided(activity, windows=window(start_s))
        assert judge(activity, decisions, detected) == analyse_drift_test(activity, decisions)


def test_the_recording_stays_as_it_was():
    activity = a_test(seed=10, speed_mps=3.0, cadence_rpm=170.0)
    before = activity.samples.copy()
    analyse_drift_test(activity, decided(activity, windows=window()), hr_per_output=24.2)
    pd.testing.assert_frame_equal(activity.samples, before)
