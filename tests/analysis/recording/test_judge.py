from datetime import date

import numpy as np
import pandas as pd
import pytest
from built_activity import built_activity
from hypothesis import given
from hypothesis import strategies as st

from coachlib.analysis.recording.domains import domain_time
from coachlib.analysis.recording.judge import judge
from coachlib.analysis.recording.totals import running_weights
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window
from coachlib.records.diary import DiaryRow

ATHLETE = Athlete(
    slug="a",
    name="A",
    sex="male",
    hr_max_bpm=190,
    hr_rest_bpm=50,
    thresholds=(
        Threshold(which="first", on=date(2026, 9, 1), hr_bpm=145),
        Threshold(which="second", on=date(2026, 9, 1), hr_bpm=165),
        Threshold(which="first", on=date(2026, 10, 20), hr_bpm=155),
    ),
)


def judged(activity, decisions=None, row=None, athlete=ATHLETE):
    return judge("s", activity, decisions, athlete, row)


def decided(**changes):
    return Decisions(fit_sha256=f"{1:064x}", **changes)


def pauses(*spans):
    frame = pd.DataFrame(spans, columns=["start_s", "stop_s"], dtype=float)
    return frame.assign(why="timer")


def test_means_are_time_weighted_as_pandas_has_them_on_an_even_grid():
    t = np.cumsum(np.random.default_rng(3).integers(1, 8, 900)).astype(float)
    t -= t[0]
    hr = np.round(130 + t / 100)
    found = judged(built_activity(time_s=t, hr_bpm=hr, speed_mps=np.full(t.size, 3.0), seconds=t.size))
    held = pd.Series(hr, index=pd.to_timedelta(t, unit="s")).resample("1s").ffill()
    assert found.hr_mean_bpm == pytest.approx(held.mean(), abs=0.05)
    assert found.hr_mean_bpm != pytest.approx(hr.mean(), abs=1e-6)


def test_thresholds_valid_that_day_judge_the_session():
    hr = (
        np.repeat([140.0, 150.0, 170.0], 600) - np.arange(1800) % 2
    )  # one value for ten minutes is no measurement
    domains = judged(built_activity(seconds=1800, hr_bpm=hr)).domains
    assert (domains.first_bpm, domains.second_bpm) == (145, 165)
    assert (domains.below_s, domains.between_s, domains.above_s) == (600, 600, 600)


def test_nothing_reaches_across_a_pause():
    t = np.concatenate((np.arange(0.0, 600), np.arange(900.0, 1500)))
    activity = built_activity(
        time_s=t, hr_bpm=np.full(1200, 150.0), seconds=1200, pauses=pauses((599.5, 900.0))
    )
    weights = running_weights(activity)
    assert weights.sum() == pytest.approx(1199.5)
    assert judged(activity).moving_s == pytest.approx(1199.5)
    assert judged(activity).elapsed_s == 1499


def test_excluded_heart_rate_cannot_matter():
    hr = 140.0 + np.arange(3600) // 30 % 2 * 2 - 1
    hr[1000:1100] = 240.0
    found = judged(
        built_activity(hr_bpm=hr),
        decided(exclusions=(Exclusion(start_s=1000, stop_s=1100, reason="static"),)),
    )
    assert found.hr_mean_bpm == pytest.approx(140, abs=0.1)
    assert found.hr_top_bpm == 141
    assert found.excluded_s == 100
    assert found.exclusions == ("static",)


def test_drift_is_told_in_the_coachs_window():
    t = np.arange(5400.0)
    hr = np.where(t < 3600, 150.0, 156.0) + np.sin(t)
    found = judged(
        built_activity(seconds=5400, hr_bpm=hr, speed_mps=3.0 + 0.01 * (t % 2)),
        decided(windows=(Window(start_s=1800, stop_s=5400),), kind="drift test"),
    )
    assert found.steady.window_from == "decisions"
    assert found.drift.drift_pct == pytest.approx(4.0, abs=0.01)
    assert found.steady.decoupling.loss_pct == pytest.approx(100 * (1 - 150 / 156), abs=0.01)


def test_a_steady_run_gets_a_suggested_window_and_says_so():
    found = judged(built_activity(seconds=4500, speed_mps=np.full(4500, 3.0)))
    assert found.steady.window_from == "suggestion"
    assert (found.drift.start_s, found.drift.stop_s) == (900, 4500)
    assert not found.decided


def test_intervals_get_no_drift_and_the_reason():
    speed = np.where(np.arange(3600) // 240 % 2, 4.5, 2.5)
    found = judged(built_activity(speed_mps=speed))
    assert found.drift is None
    assert found.not_steady is not None


def test_climb_on_a_belt_comes_from_speed_and_grade():
    stage = Stage(start_s=0, stop_s=3600, speed_mps=10 / 3.6, grade=0.06)
    found = judged(built_activity(is_indoor=True), decided(stages=(stage,)))
    # common practice, no source: an hour at 10 km/h and 6 % climbs about 600 m
    assert found.climb_m == pytest.approx(600, abs=2)
    assert found.climb_from == "belt speed and grade"
    assert found.output.kind == "flat-equivalent speed"
    assert found.distance_m == pytest.approx(10_000)


def test_power_goes_before_speed():
    found = judged(
        built_activity(power_w=np.full(3600, 200.0), speed_mps=np.full(3600, 9.0), sport="cycling")
    )
    assert (found.output.kind, found.output.mean) == ("power", 200)


def test_the_diarys_words_and_rating_stand_beside_the_numbers():
    row = DiaryRow(on=date(2026, 10, 5), rpe=4, remarks="windy", talk="comfortable", planned="easy 60")
    found = judged(built_activity(), None, row)
    assert (found.rpe, found.remarks, found.planned) == (4, "windy", "easy 60")
    assert found.rpe_load == pytest.approx(4 * 60)


def test_a_recording_without_heart_rate_still_has_a_length():
    found = judged(built_activity(hr_bpm=np.full(3600, np.nan), speed_mps=np.full(3600, 3.0)))
    assert found.moving_s == 3600
    assert (found.hr_mean_bpm, found.domains, found.trimp, found.drift) == (None, None, None, None)
    assert found.not_steady.name == "no heart rate"


def test_an_athlete_known_by_name_only_is_judged_as_far_as_possible():
    found = judged(built_activity(), athlete=Athlete(slug="n", name="New"))
    assert found.hr_mean_bpm is not None
    assert (found.domains, found.trimp) == (None, None)


def test_one_odd_record_is_no_maximum():
    hr = np.full(3600, 140.0)
    hr[500] = 230
    assert judged(built_activity(hr_bpm=hr)).hr_top_bpm == 140


@given(st.lists(st.floats(0, 600), min_size=0, max_size=220), st.integers(60, 180), st.integers(1, 40))
def test_domains_hold_every_second_once(seconds, first, gap):
    found = domain_time(tuple(seconds), first, first + gap)
    assert found.total_s == pytest.approx(sum(seconds))
    assert min(found.below_s, found.between_s, found.above_s) >= -1e-6
