from dataclasses import replace
from datetime import date, time, timedelta

import numpy as np
import pytest
from built_activity import built_activity
from judging import stretch

from coachlib.analysis.first_threshold.series import (
    SeriesTest,
    analyse_series,
    member_of_series,
    of_sport,
    recorded_test,
    sports_of,
    typed_test,
)
from coachlib.errors import TooLittleData, UnfitTest
from coachlib.measures.common.codes import Finding, code
from coachlib.measures.drift_test.constant_output import drift_at_constant_output
from coachlib.measures.drift_test.drift import heart_rate_drift
from coachlib.measures.first_threshold.drift_series import TYPED_SE_PCT
from coachlib.measures.first_threshold.estimate import estimate_first_threshold
from coachlib.measures.output.slopes import RUNNING_SLOPE
from coachlib.records.athlete import Athlete, TypedTest
from coachlib.records.decisions import Decisions, Stage, Window
from coachlib.records.diary import DiaryRow
from coachlib.records.machine import Ergometer, Treadmill

ANNA = Athlete(slug="anna", name="Anna", hr_max_bpm=190)
BELT = Treadmill(
    speed_low_mps=1.0, speed_high_mps=20 / 3.6, speed_step_mps=0.5 / 3.6, grade_high=0.12, grade_step=0.005
)


def made(n=3, **changes):
    rows = ((3, 148, 1.0, 2.5, 0.05), (10, 156, 3.4, 2.7, 0.06), (17, 163, 7.1, 2.8, 0.06))[:n]
    return [
        SeriesTest(
            **({
                "on": date(2026, 10, day), "first_half_bpm": hr, "drift_pct": drift, "se_pct": 0.5, "minutes": 60.0,
                "speed_mps": speed, "grade": grade,
            } | changes)
        )
        for day, hr, drift, speed, grade in rows
    ]  # fmt: skip


def test_the_series_passes_on_what_the_measure_says():
    series = analyse_series(made(), ANNA)
    plain = estimate_first_threshold(
        [148, 156, 163], [1.0, 3.4, 7.1], [0.5] * 3, hr_max_bpm=190, weeks=[0, 1, 2]
    )
    assert series.threshold == plain
    assert series.asked.first_half_bpm == (148, 156, 163)


def test_days_between_the_tests_count():
    late = made()
    late[2] = replace(late[2], on=date(2027, 3, 17))
    assert analyse_series(late, ANNA).threshold.width_bpm > analyse_series(made(), ANNA).threshold.width_bpm


def test_order_does_not_matter():
    assert analyse_series(made()[::-1], ANNA) == analyse_series(made(), ANNA)


def test_a_shorter_window_is_brought_to_an_hour():
    """The same slope over 30 min gives half the drift and half its error in per cent."""
    hour = analyse_series(made(), ANNA)
    halves = [
        SeriesTest(
            on=t.on,
            first_half_bpm=t.first_half_bpm,
            drift_pct=t.drift_pct / 2,
            se_pct=t.se_pct / 2,
            minutes=30,
        )
        for t in made()
    ]
    short = analyse_series(halves, ANNA)
    assert short.threshold.hr_bpm == pytest.approx(hour.threshold.hr_bpm)
    (said,) = [c for c in short.caveats if c.name == "short windows"]
    assert (said["n"], said["n_tests"], said["shortest_min"]) == (3, 3, 30.0)


def test_a_typed_test_has_the_wider_error_and_is_marked():
    known = TypedTest(
        on=date(2026, 9, 20), first_half_bpm=150, second_half_bpm=153, minutes=60, temperature_c=21
    )
    member = typed_test(known)
    assert member.typed
    assert member.drift_pct == pytest.approx(2.0)
    assert member.se_pct == TYPED_SE_PCT
    series = analyse_series([*made(), member], ANNA)
    (said,) = [c for c in series.caveats if c.name == "typed tests"]
    assert (said["n"], said["n_tests"]) == (1, 4)


def test_practice_series_typed_in_says_at_least():
    """Common practice, no source: 143, 152, 160, 163 bpm with 0, 0, 1.25, 3.07 %."""
    tests = [
        typed_test(
            TypedTest(on=date(2026, 9, d), first_half_bpm=hr, second_half_bpm=hr * (1 + p / 100), minutes=60)
        )
        for d, hr, p in ((1, 143, 0), (8, 152, 0), (15, 160, 1.25), (22, 163, 3.07))
    ]
    found = analyse_series(tests, Athlete(slug="x", name="X")).threshold
    assert found.bounded == "below"
    assert 158 < found.hr_low_bpm < 164
    assert 164 < found.hr_bpm < 174


def test_a_recorded_test_keeps_window_and_settings():
    t = np.arange(5400.0)
    drift = heart_rate_drift(t, 150 + 0.05 * t / 60, t >= 0, start_s=900, stop_s=900 + 2400)
    member = recorded_test(drift, on=date(2026, 10, 3), sha256="9f2c", speed_mps=2.8, grade=0.06)
    assert (member.minutes, member.speed_mps, member.sha256) == (40.0, 2.8, "9f2c")
    assert member.to_hour == pytest.approx(1.5)


def test_where_output_was_measured_drift_at_constant_output_counts_with_the_slope_s_doubt():
    t = np.arange(3600.0)
    hr, speed = 150 + np.sin(t), np.where(t < 1800, 3.0, 2.8)
    drift = heart_rate_drift(t, hr, t >= 0, start_s=0, stop_s=3600)
    held = drift_at_constant_output(
        t, hr, speed, t >= 0, start_s=0, stop_s=3600, slope=RUNNING_SLOPE.mean, slope_sd=RUNNING_SLOPE.sd
    )
    member = recorded_test(drift, held, on=date(2026, 10, 3), sha256="9f2c", sport="running")
    assert member.drift_pct == held.drift_pct > drift.drift_pct + 3.0
    assert member.se_pct == pytest.approx(np.hypot(drift.se_pct, held.u_pct))


def sported(*sports):
    return [replace(t, sport=sport) for t, sport in zip(made(), sports, strict=True)]


def test_a_series_is_of_one_sport():
    tests = sported("running", "rowing", "trail_running")
    assert sports_of(tests) == ("running", "rowing")
    running, untold = of_sport(tests, "running")
    assert [t.first_half_bpm for t in running] == [148, 163]
    assert untold == ()
    assert analyse_series(running, ANNA).sport == "running"
    with pytest.raises(UnfitTest, match="these are of 2 \\(running, rowing\\)"):
        analyse_series(tests, ANNA)


def test_a_test_without_a_sport_counts_where_there_is_only_one():
    alone = sported("rowing", "", "rowing")
    assert len(of_sport(alone, "rowing")[0]) == 3
    mixed = sported("rowing", "", "running")
    own, untold = of_sport(mixed, "running")
    assert ([t.sport for t in own], [t.first_half_bpm for t in untold]) == (["running"], [156])
    assert sports_of(sported("", "", "")) == ("",)


def test_medicine_uses_no_maximum_for_estimate_and_aim():
    told = Athlete(slug="anna", name="Anna", hr_max_bpm=190, heart_rate_medicine=True)
    without = Athlete(slug="anna", name="Anna", heart_rate_medicine=True)
    assert analyse_series(made(1), told).threshold == analyse_series(made(1), without).threshold
    assert "no maximum under medicine" in [c.name for c in analyse_series(made(1), told).threshold.caveats]


def test_a_contradiction_is_told_with_what_differed():
    clash = [
        replace(made()[0], drift_pct=9.0, conditions=DiaryRow(on=date(2026, 10, 3), sleep_h=4)),
        replace(
            made()[1],
            first_half_bpm=148,
            drift_pct=0.5,
            conditions=DiaryRow(on=date(2026, 10, 10), sleep_h=8),
        ),
    ]
    series = analyse_series(clash, ANNA)
    assert series.contradiction == ("sleep",)
    assert series.threshold.is_unresolved
    assert analyse_series(made(), ANNA).contradiction is None


def test_the_next_test_is_never_asked_for_yesterday():
    assert analyse_series(made(), ANNA, today=date(2026, 12, 1)).next_not_before == date(2026, 12, 1)


def judged():
    t = np.arange(5400.0)
    activity = built_activity(
        seconds=5400, hr_bpm=np.round(150 + 0.03 * t / 60) + t % 2, temperature_c=np.full(5400, 33.0)
    )
    decisions = Decisions(
        fit_sha256="0" * 64, windows=(Window(start_s=1200, stop_s=4800),),
        stages=(Stage(start_s=0, stop_s=5400, speed_mps=2.8, grade=0.06),),
    )  # fmt: skip
    return stretch(activity, decisions)


def test_a_judged_test_joins_with_its_settings_but_not_with_the_temperature_of_the_wrist():
    result = judged()
    assert result.temperature_from == "device"
    member = member_of_series(result, on=date(2026, 10, 3), sha256="9f2c")
    assert (member.speed_mps, member.grade, member.temperature_c) == (2.8, 0.06, None)
    assert member.drift_pct == result.drift.drift_pct


def test_a_void_test_joins_no_series():
    void = Finding(code=code("setting changed", n_changes=1, first_s=2000.0), severity="void")
    with pytest.raises(
        UnfitTest, match=r"of 2026-10-03 cannot join a series: it is no valid test \(setting changed\)"
    ):
        member_of_series(replace(judged(), findings=(void,)), on=date(2026, 10, 3), sha256="9f2c")


def test_what_differed_is_marked():
    rows = [
        DiaryRow(
            on=t.on,
            start=time(hour, 0),
            sleep_h=sleep,
            temperature_c=temp,
            caffeine=caffeine,
            equipment="treadmill A",
        )
        for t, hour, sleep, temp, caffeine in zip(
            made(), (7, 7, 18), (7.5, 4.0, 7.0), (19, 20, 27), ("none", "None", "double"), strict=True
        )
    ]
    tests = [made()[i] for i in range(3)]
    tests = [
        SeriesTest(
            on=t.on,
            first_half_bpm=t.first_half_bpm,
            drift_pct=t.drift_pct,
            se_pct=0.5,
            minutes=60,
            conditions=row,
        )
        for t, row in zip(tests, rows, strict=True)
    ]
    series = analyse_series(tests, ANNA)
    by_name = {c.name: c for c in series.conditions}
    assert {c.name for c in series.different} == {"air temperature", "sleep", "time of day", "caffeine"}
    assert not by_name["footwear or machine"].differs
    assert by_name["time of day"].values == (7.0, 7.0, 18.0)
    assert "humidity" not in by_name


def test_only_temperature_moves_the_estimate():
    cool = analyse_series(made(), ANNA)
    tired = made()
    tired[1] = SeriesTest(
        on=tired[1].on, first_half_bpm=156, drift_pct=3.4, se_pct=0.5, minutes=60,
        conditions=DiaryRow(on=tired[1].on, sleep_h=3, caffeine="double", hours_since_food=9, health="tired"),
    )  # fmt: skip
    assert analyse_series(tired, ANNA).threshold == cool.threshold
    hot = made(temperature_c=27.0)
    assert analyse_series(hot, ANNA).threshold.hr_bpm != pytest.approx(cool.threshold.hr_bpm, abs=0.5)


def test_a_day_of_illness_counts_less_and_says_so():
    ill = made()
    ill[2] = SeriesTest(
        on=ill[2].on, first_half_bpm=163, drift_pct=7.1, se_pct=0.5, minutes=60,
        conditions=DiaryRow(on=ill[2].on, health="ill"),
    )  # fmt: skip
    series = analyse_series(ill, ANNA)
    assert series.asked.is_unsure == (False, False, True)
    assert "unwell at tests" in [c.name for c in series.caveats]
    assert series.threshold.width_bpm > analyse_series(made(), ANNA).threshold.width_bpm


def test_next_test_lies_on_the_treadmills_grid():
    plan = analyse_series(made(), ANNA, machine=BELT).next_test
    assert plan.settings.grade in BELT.grades
    assert plan.settings.speed_mps in BELT.speeds_mps
    assert abs(plan.settings.predicted_bpm - plan.target_bpm) < 3


def test_next_test_by_power_and_outdoors():
    riding = [
        SeriesTest(on=date(2026, 10, d), first_half_bpm=hr, drift_pct=p, se_pct=0.5, minutes=60, power_w=w)
        for d, hr, p, w in ((3, 140, 1.0, 180), (10, 148, 3.0, 200))
    ]
    ergometer = Ergometer(power_low_w=50, power_high_w=400, power_step_w=5)
    series = analyse_series(riding, ANNA, machine=ergometer)
    assert series.next_test.settings.power_w % 5 == 0
    assert series.output.unit == "W"
    assert series.output.low < series.output.value < series.output.high
    assert analyse_series(riding, ANNA).next_test.settings is None


def test_output_at_the_threshold_is_a_speed_at_the_last_grade():
    output = analyse_series(made(), ANNA).output
    assert (output.unit, output.grade, output.n_tests) == ("m/s", 0.06, 3)
    assert 2.4 < output.value < 3.1


def test_rest_days_set_the_earliest_date():
    series = analyse_series(made(), ANNA)
    assert series.next_not_before == date(2026, 10, 17) + timedelta(days=series.next_test.rest_days + 1)


def test_a_series_without_tests_says_what_to_do():
    with pytest.raises(TooLittleData, match=r"for Anna needs at least 1 drift test; 0 were found"):
        analyse_series([], ANNA)
