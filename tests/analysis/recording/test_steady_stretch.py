from datetime import date, timedelta

import numpy as np
import pandas as pd
import pytest
from benchmarks.runs import steady_run
from built_activity import built_activity
from judging import judged, stretch

from coachlib.analysis.recording.detected import detect
from coachlib.measures.drift_test.drift import heart_rate_drift
from coachlib.measures.output.slopes import HeartRateSlope
from coachlib.measures.recording.lag import lagged_output
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window
from coachlib.records.diary import DiaryRow
from coachlib.records.health import Block
from coachlib.report.words.catalogue import sentence
from coachlib.report.words.recording import verdict


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
    result = stretch(activity, decisions)
    t = activity.samples["time_s"].to_numpy()
    used = (t < 2000) | (t >= 2100)
    assert result.window_from == "decisions"
    assert result.drift == heart_rate_drift(
        t, activity.samples["hr_bpm"].to_numpy(), used, start_s=1000, stop_s=4000
    )
    assert result.excluded_s == 100
    assert result.window_criterion_pct == pytest.approx(5 * 3000 / 3600)


def test_without_decisions_the_suggested_window_is_judged_and_said():
    result = stretch(a_test(), None)
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
    plain, open_one = stretch(activity, None), stretch(lifted, None)
    assert open_one.drift.drift_pct != plain.drift.drift_pct
    (waiting,) = [s for s in open_one.suggestions if s.start_s < 1530 and s.stop_s > 1500]
    assert waiting.effect_pct == pytest.approx(open_one.drift.drift_pct - plain.drift.drift_pct, abs=0.06)
    exclusion = Exclusion(start_s=waiting.start_s, stop_s=waiting.stop_s, reason=waiting.reason)
    answered = stretch(lifted, decided(lifted, windows=window(), exclusions=(exclusion,)))
    assert waiting.start_s not in [s.start_s for s in answered.suggestions]
    assert answered.drift.drift_pct == pytest.approx(open_one.drift.drift_pct - waiting.effect_pct, abs=1e-9)


def test_a_stage_that_begins_inside_the_window_voids_the_test():
    activity = a_test()
    stages = (
        Stage(start_s=0, stop_s=2400, speed_mps=2.7, grade=0.05),
        Stage(start_s=2400, stop_s=4800, speed_mps=2.8),
    )
    result = stretch(activity, decided(activity, windows=window(), stages=stages))
    assert result.is_void
    assert result.where == "cannot tell"
    assert names(result)[0] == "setting changed"
    assert verdict(result).count("This is no valid test: the setting changed once inside the window") == 1


def test_stages_with_equal_settings_that_touch_are_one_setting():
    activity = a_test()
    same = {"speed_mps": 2.7, "grade": 0.06}
    stages = (
        Stage(start_s=0, stop_s=300, speed_mps=2.2, grade=0.0),
        Stage(start_s=300, stop_s=2400, **same),
        Stage(start_s=2400, stop_s=4600, **same),
    )
    decisions = decided(activity, stages=stages)
    assert detect(activity, decisions).changes_s == (300, 4600)
    result = stretch(activity, decisions)
    assert (result.window.start_s, result.window.stop_s) == (1200, 4600)
    assert (result.speed_mps, result.grade, result.power_w) == (2.7, 0.06, None)
    assert "setting changed" not in names(result)


@pytest.mark.parametrize(
    ("is_indoor", "step_kmh", "severity"),
    [(True, 0.6, "void"), (False, 0.6, None), (False, 2.0, "doubt")],
)
def test_a_change_of_speed_is_surer_indoors(is_indoor, step_kmh, severity):
    speed = (np.where(np.arange(4800.0) < 2700, 10.0, 10.0 + step_kmh) + 0.02 * (np.arange(4800) % 2)) / 3.6
    activity = a_test(speed_mps=speed, is_indoor=is_indoor)
    result = stretch(activity, decided(activity, windows=window()))
    assert [f.severity for f in result.findings if "changed" in f.name] == [severity] * bool(severity)
    assert result.is_void == (severity == "void")


def test_a_window_straight_after_the_change_says_what_settling_adds():
    activity = a_test()
    stages = (Stage(start_s=900, stop_s=4800, speed_mps=2.7),)
    result = stretch(activity, decided(activity, windows=window(), stages=stages))
    (found,) = [f for f in result.findings if f.name == "warm-up"]
    assert found.code["added_pct"] == pytest.approx(1.17)
    assert verdict(result).count("But the setting was held for 0 min before the window") == 1


def test_a_pause_counts_until_the_coach_leaves_it_out():
    pauses = pd.DataFrame({"start_s": [2000.0], "stop_s": [2060.0], "why": ["timer"]})
    activity = a_test(pauses=pauses)
    result = stretch(activity, decided(activity, windows=window()))
    assert "pause inside" in names(result)
    (suggested,) = [s for s in result.suggestions if s.reason == "pause"]
    assert (suggested.start_s, suggested.stop_s) == (2000, 2300)
    gone = Exclusion(start_s=suggested.start_s, stop_s=suggested.stop_s, reason="pause")
    after = stretch(activity, decided(activity, windows=window(), exclusions=(gone,)))
    assert [f.severity for f in after.findings if f.name == "pause left out"] == ["note"]
    assert after.drift.used_s == result.drift.used_s - 300


@pytest.mark.parametrize(
    ("diary_c", "device_c", "found"),
    [(27.0, 31.0, (27.0, "diary")), (None, 31.0, (31.0, "device")), (None, None, (None, None))],
)
def test_temperature_is_the_diarys_before_the_devices(diary_c, device_c, found):
    activity = a_test(temperature_c=np.nan if device_c is None else device_c)
    row = DiaryRow(on=date(2026, 10, 5), temperature_c=diary_c)
    result = stretch(activity, None, diary_row=row)
    assert (result.temperature_c, result.temperature_from) == found
    assert ("heat" in names(result)) == (found[0] is not None)
    said = {c.name for c in result.caveats}
    assert ("temperature from device" in said) == (found[1] == "device")
    assert ("temperature not known" in said) == (found[1] is None)


def test_settings_nobody_knows_are_said():
    found = stretch(a_test(), None)
    assert "held not known" in {c.name for c in found.caveats}
    assert found.meaning.name == "setting not known"
    assert "Type the setting in" in verdict(found)


def test_a_change_of_pace_does_not_pass_for_drift():
    t = np.arange(4800.0)
    speed = 3.0 - 0.15 * t / 4800
    hr = 150 + 24.2 * (lagged_output(t, speed) - 3.0)
    activity = built_activity(seconds=4800, hr_bpm=hr, speed_mps=speed)
    result = stretch(activity, decided(activity, windows=window()), slope=HeartRateSlope(24.2, 4.0))
    assert result.drift.drift_pct < -0.5
    assert result.held.drift_pct == pytest.approx(0.0, abs=1e-3)
    assert result.decoupling.loss_pct > 0.5
    assert result.speed_mps == pytest.approx(speed[900:4500].mean())


def test_heart_rate_on_the_cadence_is_doubted():
    run = a_test()
    level = run.samples["hr_bpm"].to_numpy() + 22
    result = stretch(a_test(hr_bpm=level, cadence_rpm=level + 1), None)
    assert "like cadence" in names(result)


def test_no_heart_rate_and_too_little_of_it_are_refused():
    activity = a_test(hr_bpm=np.nan)
    assert judged(activity).not_steady.name == "no heart rate"
    short = a_test()
    why = judged(short, decided(short, windows=window(900, 1200))).not_steady
    assert "needs 300 s of usable heart rate in each half" in sentence(why)


def test_findings_go_from_void_to_note():
    activity = a_test()
    stages = (Stage(start_s=800, stop_s=2400, speed_mps=2.7), Stage(start_s=2400, stop_s=4800, speed_mps=2.9))
    result = stretch(
        activity,
        decided(activity, windows=window(900, 3900), stages=stages),
        diary_row=DiaryRow(on=date(2026, 10, 5), temperature_c=29.0),
    )
    order = [("void", "doubt", "note").index(f.severity) for f in result.findings]
    assert order == sorted(order)
    assert {"setting changed", "heat", "less than an hour"} <= set(names(result))


def test_an_edit_is_judged_without_detecting_again():
    activity = a_test(seed=9)
    detected = detect(activity)
    for start_s in (900, 1000):
        decisions = decided(activity, windows=window(start_s))
        assert judged(activity, decisions, detected=detected) == judged(activity, decisions)


def test_the_recording_stays_as_it_was():
    activity = a_test(seed=10, speed_mps=3.0, cadence_rpm=170.0)
    before = activity.samples.copy()
    stretch(activity, decided(activity, windows=window()))
    pd.testing.assert_frame_equal(activity.samples, before)


def ill(start, stop=None, kind="ill"):
    """A block from and to so many days from that of the test."""
    on = a_test(minutes=1).started_on(None)
    end = None if stop is None else on + timedelta(days=stop)
    return (Block(start_on=on + timedelta(days=start), stop_on=end, kind=kind),)


@pytest.mark.parametrize(("health", "blocks"), [("ill", ()), (None, ill(-3, 0)), ("ok", ill(0))])
def test_a_test_on_a_day_of_illness_is_void(health, blocks):
    activity = a_test()
    row = DiaryRow(on=activity.started_on(None), health=health)
    athlete = Athlete(slug="a", name="A", blocks=blocks)
    found = stretch(activity, decided(activity, windows=window()), diary_row=row, athlete=athlete)
    assert found.is_void
    assert found.meaning.name == "void"
    assert names(found)[0] == "ill that day"


@pytest.mark.parametrize("blocks", [ill(-9, -1), ill(1), ill(-2, kind="travel")])
def test_an_illness_of_other_days_and_days_away_leave_a_test_as_it_is(blocks):
    activity = a_test()
    athlete = Athlete(slug="a", name="A", blocks=blocks)
    assert not stretch(activity, decided(activity, windows=window()), athlete=athlete).is_void


def test_pain_of_the_day_is_a_doubt():
    activity = a_test()
    row = DiaryRow(on=activity.started_on(None), health="pain")
    found = stretch(activity, decided(activity, windows=window()), diary_row=row)
    assert not found.is_void
    assert "pain that day" in names(found)
