"""What a judged recording adds to a season, without opening it."""

from dataclasses import replace

import numpy as np
import pytest
from built_activity import built_activity
from season_parts import anna, day, judged, wears

from coachlib.analysis.recording.level import level_of
from coachlib.analysis.recording.output import output_of
from coachlib.analysis.season.reading import reading_of
from coachlib.analysis.season.readings import readings_of_season
from coachlib.measures.common.codes import code
from coachlib.measures.common.spans import Span
from coachlib.records.athlete import Threshold
from coachlib.records.decisions import Decisions, Exclusion
from coachlib.records.roster import Climate

N = 2400
T = np.arange(float(N))


def read(athlete=None, **changes):
    return reading_of(judged(day(5), **changes), athlete or anna())


def test_a_constant_run_gives_its_heart_rate_its_output_and_no_drift():
    found = read()
    assert (found.output.hr_bpm, found.output.output) == (140.0, 3.0)
    assert found.drift.drift_pct == pytest.approx(0.0, abs=0.01)
    assert (found.group, found.unit, found.no_output, found.no_drift) == ("running", "m/s", None, None)


def test_the_sensor_is_what_the_recording_or_the_diary_names():
    assert read(gear=wears(strap="77")).sensor == "77"
    assert read(gear=wears(watch="A")).sensor == ""


def test_an_indoor_run_is_its_own_group():
    assert read(is_indoor=True).group == "running indoors"


def test_a_hot_day_is_brought_back_and_an_unknown_one_is_not():
    assert read(temperature_c=26.0).output.hr_bpm == pytest.approx(140.0 - 5.5)
    unknown = read(temperature_c=None)
    assert (unknown.output.hr_bpm, unknown.output.heat.unknown) == (140.0, 1.0)
    assert read(temperature_c=None, is_indoor=True).output.heat.unknown == 0.0


def test_a_climate_tells_what_heat_to_expect():
    """August in a place whose warmest month has 26 degrees at midday, and one far south."""
    north = Climate(coldest_c=2, warmest_c=26)
    south = Climate(coldest_c=8, warmest_c=26, warmest_month=1)
    hot, cold = (
        reading_of(judged(day(1), temperature_c=None), anna(), climate=place).output.heat
        for place in (north, south)
    )
    assert hot.above_c > 3.0
    assert hot.unknown == pytest.approx(1 / 3)
    assert (round(cold.above_c, 1), cold.unknown) == (0.0, 0.0)


def test_drift_is_that_at_constant_output_with_the_slopes_doubt_for_an_hour():
    found, surer = (read(drift_pct=3.0, minutes=60, u_pct=u).drift for u in (1.0, 0.0))
    assert found.drift_pct == pytest.approx(4.0)
    assert found.se_pct**2 - surer.se_pct**2 == pytest.approx((60 / 45) ** 2)


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"kind": "intervals"}, code("kind not compared", kind="intervals")),
        ({"kind": "drift test"}, code("test waits for decisions")),
        ({"sport": "rowing"}, code("slope not known", sport="rowing")),
        ({"hr": 156.0}, code("above the first threshold", hr_bpm=156.0, threshold_bpm=150.0)),
        ({"level": None}, code("output not recorded")),
    ],
)
def test_why_there_is_no_output(changes, why):
    found = read(**changes)
    assert (found.output, found.no_output) == (None, why)


def test_a_refused_level_keeps_its_reason():
    whole = judged(day(5))
    refused = replace(whole.level, refusal=code("heart rate like cadence", locked_frac=0.9, within_bpm=3.0))
    assert read(level=refused).no_output.name == "heart rate like cadence"


def test_why_there_is_no_drift():
    assert read(steady=None).no_drift.name == "no steady stretch"
    assert read(minutes=40).no_drift.name == "steady stretch too short"
    held = judged(day(5)).steady
    assert read(steady=replace(held, held=None)).no_drift.name == "drift rests on an unknown output"
    assert read(is_set=True).drift is not None
    assert read(steady=replace(held, findings=(VOID,))).no_drift.name == "steady stretch is void"


class _Void:
    severity = "void"


VOID = _Void()


def test_a_threshold_of_another_sport_refuses_nothing():
    rowing = Threshold(which="first", on=day(0), hr_bpm=130, sport="rowing")
    general = Threshold(which="first", on=day(0), hr_bpm=135)
    assert read(anna(thresholds=(rowing,))).output is not None
    assert read(anna(thresholds=(rowing, general))).output is None


def test_without_output_there_is_no_reading():
    assert reading_of(judged(day(0), output=None), anna()) is None


def test_readings_come_in_the_order_of_their_days():
    found = readings_of_season([judged(day(3)), judged(day(1)), judged(day(2))], anna())
    assert [r.on for r in found] == [day(1), day(2), day(3)]


def level(hr=140.0, speed=3.0, decisions=None, pauses=(), suggestions=(), **changes):
    activity = built_activity(
        seconds=N, hr_bpm=np.broadcast_to(hr, N).astype(float), speed_mps=np.broadcast_to(speed, N).astype(float),
        **changes,
    )  # fmt: skip
    return level_of(
        activity, decisions, output_of(activity, decisions), pauses=pauses, suggestions=suggestions
    )


def test_excluded_heart_rate_and_undecided_stretches_cannot_matter():
    spoilt = np.where((T >= 700) & (T < 800), 190.0, 140.0)
    left_out = Decisions(fit_sha256="0" * 64, exclusions=(Exclusion(start_s=700, stop_s=800),))
    assert level(hr=spoilt, decisions=left_out).hr_bpm == pytest.approx(140.0)
    odd = Span(start_s=700.0, stop_s=800.0, reason="rise")
    assert level(hr=spoilt, suggestions=[odd]).hr_bpm == pytest.approx(140.0)
    flat = replace(odd, reason="flat")
    assert level(suggestions=[flat]).masked_frac == 0.0


def test_a_pause_is_left_out_with_what_follows():
    hr = np.where((T >= 1000) & (T < 1200), 110.0, 140.0)
    assert level(hr=hr, pauses=[Span(start_s=1000.0, stop_s=1030.0)]).hr_bpm == pytest.approx(140.0)


def test_altitude_tells_the_hills():
    hilly = level(altitude_m=200 + 20 * np.sin(T * 3.0 / 200), distance_m=3.0 * T)
    assert hilly.grade_sd == pytest.approx(0.1 / np.sqrt(2), abs=0.02)
    assert level().grade_sd is None or level().grade_sd < 0.001
