import numpy as np
import pytest
from scipy import stats

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.second_threshold.time_trial import time_trial
from coachlib.report.words.catalogue import whole

T = np.arange(0.0, 2400.0)
TRIAL = {"start_s": 300.0, "stop_s": 2100.0}


def run(hr=None, speed=None, used=None, **options):
    """A trial from minute 5 to 35 at 170 bpm and 3.6 m/s unless said."""
    hr = np.full(T.size, 170.0) if hr is None else hr
    speed = np.full(T.size, 3.6) if speed is None else speed
    return time_trial(T, hr, speed, T >= 0 if used is None else used, **{**TRIAL, **options})


def test_heart_rate_is_that_of_the_last_twenty_minutes_and_output_that_of_all():
    """Built truth: 150 bpm and 3.9 m/s for ten minutes, then 171 and 3.6; the warm-up and the end do not count."""
    first, inside = (T >= 300) & (T < 900), (T >= 300) & (T < 2100)
    hr = np.where(first, 150.0, np.where(inside, 171.0, 90.0))
    speed = np.where(first, 3.9, np.where(inside, 3.6, 1.0))
    found = run(hr, speed)
    assert found.hr_bpm == pytest.approx(171)
    assert found.output == pytest.approx(3.7)
    assert found.pace_change_pct == pytest.approx(-100 * 0.3 / 3.9)
    assert found.used_s == 1200


def test_intervals_are_those_of_the_published_errors():
    # McGehee, Tanner, Houmard 2005, J Strength Cond Res 19:553-558: 8.0 bpm, 0.21 m/s, 27 people
    found = run()
    reach = stats.t.ppf(0.95, 25)
    assert found.hr_high_bpm - found.hr_bpm == pytest.approx(reach * 8.0)
    assert found.hr_bpm - found.hr_low_bpm == pytest.approx(reach * 8.0)
    assert found.output_high - found.output_low == pytest.approx(2 * reach * 0.21)
    # a 95 % band of about +-16 bpm, by z as in coaching texts
    assert (found.hr_high_bpm - found.hr_bpm) * 1.96 / 1.645 == pytest.approx(16, abs=0.5)


def test_power_has_no_interval_and_says_so():
    found = run(speed=np.full(T.size, 250.0), is_power=True)
    assert (found.output, found.output_low, found.output_high) == (250.0, None, None)
    assert "No error was published for power" in whole(found.caveats[1])


def test_a_treadmill_without_a_reading_gives_heart_rate_only():
    found = run(speed=np.full(T.size, np.nan))
    assert (found.output, found.output_low, found.pace_change_pct) == (None, None, None)
    assert "only heart rate is given" in whole(found.caveats[1])


@pytest.mark.parametrize(
    ("late_mps", "words"), [(3.2, "11 % less in the last third"), (4.0, "11 % more in the last third")]
)
def test_uneven_pacing_is_named(late_mps, words):
    assert words in whole(run(speed=np.where(T >= 1500, late_mps, 3.6)).caveats[-1])


@pytest.mark.parametrize(
    ("stop_s", "words"), [(1980.0, "28 minutes; shorter than 30"), (2340.0, "34 minutes; longer than 30")]
)
def test_another_length_is_named(stop_s, words):
    assert words in whole(run(stop_s=stop_s).caveats[1])


def test_an_even_trial_of_thirty_minutes_only_reminds_of_effort():
    assert [c.name for c in run().caveats] == ["a trial is as good as its effort"]


def test_excluded_samples_and_the_recorders_step_cannot_matter():
    talking = (T >= 1000) & (T < 1100)
    spoilt = run(np.where(talking, 240.0, 170.0), used=~talking)
    assert spoilt.hr_bpm == pytest.approx(170)
    assert spoilt.used_s == 1100
    kept = (T % 4 == 0) | (T < 1200)
    rising = 150 + T / 100
    thinned = time_trial(T[kept], rising[kept], np.full(kept.sum(), 3.6), T[kept] >= 0, **TRIAL)
    assert thinned.hr_bpm == pytest.approx(run(rising).hr_bpm, abs=0.05)


def test_later_clock_same_answer_and_arguments_untouched():
    hr, speed, used = np.full(T.size, 170.0), np.full(T.size, 3.6), T >= 0
    before = hr.copy(), speed.copy(), used.copy()
    later = time_trial(T + 500, hr, speed, used, start_s=800, stop_s=2600)
    assert later == run()
    assert all((a == b).all() for a, b in zip(before, (hr, speed, used), strict=True))


@pytest.mark.parametrize(
    ("options", "error", "sentence"),
    [
        ({"stop_s": 1500.0}, TooLittleData, "needs at least 25 minutes; this one has 20.0"),
        (
            {"used": T < 1500},
            TooLittleData,
            "needs 960 s of usable heart rate in its last 20 minutes; found 600 s",
        ),
        ({"hr": np.full(T.size, np.nan)}, TooLittleData, "found 0 s"),
        ({"hr": np.full(10, 170.0)}, BadArgument, "one value a sample; found 2400, 10, 2400 and 2400"),
    ],
)
def test_refusals(options, error, sentence):
    with pytest.raises(error, match=sentence):
        run(**options)
