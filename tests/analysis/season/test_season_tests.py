"""Controlled tests among a season's readings: belt tests whose truth is known."""

import numpy as np
import pytest
from season_parts import LAST_WEEK, SETTINGS, anna, day, judged, readings_of

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.slopes import line_of_tests, own_slope, usual_slope
from coachlib.analysis.season.readings import readings_of_season
from coachlib.analysis.season.season import analyse_season
from coachlib.measures.common.codes import code
from coachlib.measures.output.energy import flat_equivalent_speed, vo2_running_acsm
from coachlib.records.athlete import Block


def recorded(week, *, hr=140.0, speed=3.0, **changes):
    """A run outdoors at one heart rate and speed, or whatever the changes make of it."""
    return judged(day(week), hr=hr, speed=speed, **changes)


def belt(week, *, speed=2.5, grade=0.04, hr=145.0):
    """The recording of a belt test, and what its judging told."""
    made = judged(day(week, 5), hr=hr, speed=speed, kind="drift test", is_indoor=True, is_set=True)
    return made, drift_test(week, hr=hr, speed=speed, grade=grade, sha256=made.sha256)


def drift_test(week, *, hr=145.0, speed=2.5, grade=0.04, **changes):
    fields = {"drift_pct": 0.0, "se_pct": 0.5, "minutes": 60.0, "temperature_c": 20.0}
    return SeriesTest(on=day(week, 5), first_half_bpm=hr, speed_mps=speed, grade=grade, **(fields | changes))


def found_of(made, tests, athlete=None):
    return [r for r in readings_of_season(made, athlete or anna(), tests=tests) if r.is_test]


def test_a_belt_test_is_read_by_its_settings():
    run, told = belt(3)
    (reading,) = found_of([*(recorded(w) for w in range(3)), run], [told])
    flat = float(flat_equivalent_speed(np.array([2.5]), np.array([0.04]))[0])
    assert reading.output.output == pytest.approx(flat)
    assert (reading.output.hr_bpm, reading.output.test_sd_bpm) == (145.0, 2.6)
    assert (reading.group, reading.unit, reading.no_output) == ("running indoors", "m/s", None)
    assert reading.drift is not None


def test_an_undecided_or_void_test_is_no_reading_at_all():
    run, _ = belt(3)
    (reading,) = [r for r in readings_of_season([recorded(0), run], anna()) if r.group == "running indoors"]
    assert (reading.output, reading.is_test) == (None, False)
    assert reading.no_output == code("test waits for decisions")


def test_a_typed_test_stands_where_its_sport_and_machine_say():
    runs = [recorded(w) for w in range(4)]
    (reading,) = found_of(runs, [drift_test(2, typed=True)])
    assert (reading.group, reading.on, reading.sha256) == ("running indoors", day(2, 5), "")
    (outdoors,) = found_of(runs, [drift_test(2, typed=True, grade=None, speed=3.0)])
    assert outdoors.group == "running"
    ride = drift_test(2, typed=True, speed=None, grade=None, power_w=180.0)
    rides = [recorded(w, sport="rowing", power_w=170.0) for w in range(4)]
    (rowed,) = found_of(rides, [ride])
    assert (rowed.group, rowed.unit) == ("rowing indoors", "W")
    (unknown,) = found_of([], [ride])
    assert unknown.group == "cycling indoors"


def test_what_a_test_lacks_is_said():
    """On a belt without a grade, and far from the reference heart rate."""
    run, _ = belt(3, grade=None)
    readings = readings_of_season(
        [recorded(0), run], anna(), tests=[drift_test(3, grade=None, sha256=run.sha256)]
    )
    assert readings[-1].no_output == code("belt test without grade")
    (typed,) = readings_of_season([], anna(), tests=[drift_test(3, typed=True)])
    assert typed.no_drift == code("typed test")


def series_on_a_line(slope, n_settings):
    """Belt tests whose heart rate follows oxygen demand exactly."""
    speeds = 2.2 + 0.3 * np.arange(n_settings)
    demand = [vo2_running_acsm(v, 0.04) for v in speeds]
    return [
        drift_test(w, speed=float(v), hr=130.0 + slope * (x - demand[0]), typed=True)
        for w, (v, x) in enumerate(zip(speeds, demand, strict=True))
    ]


def test_three_settings_teach_the_athletes_own_slope():
    tests = series_on_a_line(1.6, 5)
    line = line_of_tests(tests, "m/s")
    assert line.slope == pytest.approx(1.6, abs=0.15)
    slope = own_slope(tests, "running", "m/s")
    assert slope.is_own
    # the own slope and the usual one, each by how sure it is
    assert 12 * line.slope < slope.value < usual_slope("running", "m/s").value
    assert 6 * line.slope < own_slope(tests, "hiking", "m/s").value < usual_slope("hiking", "m/s").value
    assert own_slope(tests[:2], "running", "m/s") == usual_slope("running", "m/s")
    same = [drift_test(w, typed=True) for w in range(5)]
    assert own_slope(same, "running", "m/s") == usual_slope("running", "m/s")


def trend_of(readings, athlete=None):
    return analyse_season(LAST_WEEK, (), readings, athlete or anna(), settings=SETTINGS).main_trend


def test_the_season_is_read_with_the_belts_slope_and_says_so():
    """The belt's own slope and the usual one, each by how sure it is."""
    runs = [recorded(w, hr=145.0) for w in range(8)]
    usual, own = (trend_of(readings_of_season(runs, anna(), tests=t)) for t in ((), series_on_a_line(1.6, 4)))
    assert (usual.slope, usual.slope_is_own) == (25.5, False)
    assert own.slope_is_own
    belt_alone = own_slope(series_on_a_line(1.6, 4), "running", "m/s", hr_max_bpm=188).value
    assert min(belt_alone, 25.5) < own.slope < max(belt_alone, 25.5)


def test_tests_of_days_apart_teach_nothing():
    ill = Block(start_on=day(0), stop_on=day(3, 6), kind="ill")
    runs = [recorded(w) for w in range(4, 8)]
    readings = readings_of_season(runs, anna(), tests=series_on_a_line(1.6, 4))
    assert trend_of(readings).slope_is_own
    assert not trend_of(readings, anna(blocks=(ill,))).slope_is_own


def test_tests_join_the_trend_of_ordinary_sessions_and_make_it_surer():
    """A gain of 0.25 m/s; belt tests see the same gain, 0.2 m/s off."""
    truth = 3.0 + 0.25 * np.clip((np.arange(16) - 3) / 6, 0, 1)
    sessions = readings_of(truth, noise=0.1, per_week=2, seed=4)
    flat = flat_equivalent_speed(np.array([2.5]), np.array([0.04]))[0]
    tests = [drift_test(w, typed=True, hr=140.0 - 25.5 * (truth[w] - 0.2 - flat)) for w in range(16)]
    read = [r for r in readings_of_season([], anna(), tests=tests) if r.is_test]
    assert len(read) == 16
    alone, both = (
        analyse_season(LAST_WEEK, (), r, anna(), settings=SETTINGS).main_trend
        for r in (sessions, [*sessions, *read])
    )
    assert (both.group, both.n_readings, both.n_tests) == ("running", 48, 16)
    assert len(analyse_season(LAST_WEEK, (), [*sessions, *read], anna(), settings=SETTINGS).trends) == 1
    assert both.trend.latest.change_sd_bpm < alone.trend.latest.change_sd_bpm
    assert both.call == "clear"
    assert both.change == pytest.approx(0.25, abs=0.08)
    assert both.weeks[0].output == pytest.approx(3.0, abs=0.1)
