from dataclasses import replace

import numpy as np
import pytest
from built_activity import built_activity
from season_parts import anna, day, session

from coachlib.analysis.season.reading import Recorded, reading_of
from coachlib.analysis.season.readings import own_slope_of_rides, readings_of_season, reference_heart_rate
from coachlib.measures.recording.lag import lagged_output
from coachlib.records.athlete import Block
from coachlib.records.decisions import Decisions, Exclusion, Window

N = 4800
T = np.arange(float(N))


def run(hr=140.0, speed=3.0, **changes):
    return built_activity(
        seconds=N, hr_bpm=np.broadcast_to(hr, N).astype(float), speed_mps=np.broadcast_to(speed, N).astype(float),
        **changes,
    )  # fmt: skip


def read(activity, decisions=None, **options):
    fields = {"on": day(5), "reference_bpm": 138.0, "temperature_c": 15.0}
    return reading_of(activity, decisions, anna(), **(fields | options))


def test_a_constant_run_gives_output_at_the_reference_and_no_drift():
    found = read(run())
    assert found.output.output == pytest.approx(3.0 - 2.0 / 24.2)
    assert found.drift.drift_pct == pytest.approx(0.0)
    assert (found.group, found.unit) == ("running", "m/s")
    assert found.no_output == found.no_drift == ""


def test_an_indoor_run_is_its_own_group():
    assert read(run(is_indoor=True)).group == "running indoors"


def test_excluded_heart_rate_cannot_matter():
    hr = np.where((T >= 700) & (T < 800), 190.0, 140.0)
    decisions = Decisions(fit_sha256="0" * 64, exclusions=(Exclusion(start_s=700, stop_s=800),))
    assert read(run(hr=hr), decisions).output.output == pytest.approx(read(run()).output.output)


def test_standing_still_is_left_out_with_what_follows():
    still = (T >= 1000) & (T < 1030)
    hr = np.where((T >= 1000) & (T < 1200), 110.0, 140.0)
    found = read(run(hr=hr, speed=np.where(still, 0.0, 3.0)))
    assert found.output.hr_bpm == pytest.approx(140.0)


def test_a_coaches_window_is_used_for_drift():
    hr = np.where(T < 3000, 140.0, 147.0)
    decisions = Decisions(fit_sha256="0" * 64, windows=(Window(start_s=1200, stop_s=4800),))
    assert read(run(hr=hr), decisions).drift.drift_pct == pytest.approx(5.0)


def test_intervals_and_unsteady_runs_say_why_there_is_no_reading():
    found = read(run(), kind="intervals")
    assert found.output is None
    assert "intervals is not steady" in found.no_output
    jumpy = read(run(speed=3.0 + np.sign(np.sin(T / 200))))
    assert jumpy.output is None
    assert "steady output" in jumpy.no_output
    assert jumpy.drift is None
    assert jumpy.no_drift


def test_far_from_the_reference_is_refused_with_numbers():
    assert "within 15 bpm of it; this one was at 140 bpm" in read(run(), reference_bpm=120.0).no_output


def test_without_output_there_is_no_reading():
    assert reading_of(built_activity(), None, anna(), on=day(0), reference_bpm=140.0) is None


def test_reference_is_the_usual_heart_rate_of_minutes_10_to_25():
    sessions = [session(day(w), hr=hr) for w, hr in enumerate((138, 141, 139))]
    hard = session(day(3), hr=170, kind="intervals")
    assert reference_heart_rate([*sessions, hard]) == 139.0


def test_a_sport_without_a_known_slope_says_so():
    found = read(run(sport="rowing"))
    assert found.output is found.drift is None
    assert found.no_output == "how heart rate follows output is not known for rowing"


def test_reference_leaves_sessions_above_the_threshold_aside():
    sessions = [session(day(w), hr=hr) for w, hr in enumerate((140, 142, 158, 160))]
    assert reference_heart_rate(sessions, threshold_bpm=150.0) == 141.0


def rides(slope=0.30, n=12):
    rng = np.random.default_rng(5)
    made = []
    for i in range(n):
        power = 190 + 25 * np.sin(T / 500 + rng.uniform(0, 6)) + rng.normal(0, 10, N)
        hr = 78 + rng.normal(0, 2) + slope * lagged_output(T, power) + rng.normal(0, 0.8, N)
        activity = run(hr=hr, power_w=power, sport="cycling")
        made.append(
            Recorded(session=session(day(i // 2, 3 * (i % 2)), hr=135, sport="cycling"), activity=activity)
        )
    return made


def test_a_season_of_rides_learns_its_own_slope():
    assert own_slope_of_rides(rides()).value == pytest.approx(0.30, rel=0.06)
    assert own_slope_of_rides(rides(n=3)) is None
    assert own_slope_of_rides(rides(slope=2.0)) is None


def test_days_apart_teach_neither_the_reference_nor_the_slope():
    """The four weeks of the reference at 135 bpm, but for two ill days far above it."""
    season = rides()
    ill = [replace(r, session=session(r.session.on, hr=160, sport="cycling")) for r in season[:6]]
    block = Block(start_on=day(0), stop_on=day(2, 6), kind="ill")
    found = readings_of_season([*ill, *season[6:]], anna(blocks=(block,)))
    assert {r.output.hr_reference_bpm for r in found if r.output} == {135.0}
    assert not any(r.output.slope_is_own for r in found if r.output)


def test_a_season_is_read_at_one_reference_and_slope():
    found = readings_of_season(rides(), anna())
    assert len(found) == 12
    assert {r.output.hr_reference_bpm for r in found} == {135.0}
    assert len({r.output.slope for r in found}) == 1
    assert found[0].output.slope_is_own
    # 78 + 0.30 * power is 135 at 190 W
    assert np.mean([r.output.output for r in found]) == pytest.approx(190.0, abs=6.0)
    assert [r.on for r in found] == sorted(r.on for r in found)
