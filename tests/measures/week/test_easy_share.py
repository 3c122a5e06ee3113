import numpy as np
import pytest
from benchmarks.shares_and_loads import easy_rates

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.week.easy_share import easy_share_of_week, threshold_sd

HR = np.array([130.0, 140.0, 149.0, 150.0, 151.0, 165.0])
SECONDS = np.array([600.0, 600.0, 600.0, 600.0, 600.0, 600.0])


def easy_share(hr, seconds, **options):
    return easy_share_of_week([hr], [seconds], **options)


def judge(**options):
    return easy_share(HR, SECONDS, **({"threshold_bpm": 150.0, "threshold_sd_bpm": 3.0} | options))


def test_without_any_doubt_it_is_the_plain_share():
    found = judge(threshold_sd_bpm=0.0, day_sd_bpm=0.0)
    assert found.share_frac == found.share_low_frac == found.share_high_frac == pytest.approx(4 / 6)


def test_the_share_is_that_of_the_accepted_value_and_its_interval_holds_it():
    found = judge()
    assert found.share_frac == pytest.approx(4 / 6)
    assert found.share_low_frac <= found.share_frac <= found.share_high_frac


def test_each_session_by_its_own_threshold():
    found = easy_share_of_week(
        [HR, HR + 10], [SECONDS] * 2, threshold_bpm=[150.0, 160.0], threshold_sd_bpm=3.0
    )
    assert found.share_frac == pytest.approx(4 / 6)


@pytest.mark.parametrize(
    ("hr", "verdict"), [([130.0, 135.0], "easy"), ([160.0, 170.0], "not easy"), ([148.0, 152.0], "open")]
)
def test_verdicts(hr, verdict):
    found = easy_share(np.array(hr), np.array([600.0, 600.0]), threshold_bpm=150.0, threshold_sd_bpm=3.0)
    assert found.verdict == verdict


def test_the_certain_share_is_below_the_lower_end():
    assert judge().certain_frac == pytest.approx(2 / 6)
    assert judge().certain_frac <= judge().share_frac


def test_seconds_that_do_not_count_cannot_matter():
    hr = np.append(HR, [250.0, np.nan])
    seconds = np.append(SECONDS, [0.0, 500.0])
    assert easy_share(hr, seconds, threshold_bpm=150.0, threshold_sd_bpm=3.0) == judge()


def test_a_week_is_surer_than_a_session():
    one = judge(threshold_sd_bpm=1.0)
    week = easy_share_of_week([HR] * 6, [SECONDS] * 6, threshold_bpm=150.0, threshold_sd_bpm=1.0)
    assert week.share_frac == pytest.approx(one.share_frac)
    assert week.share_high_frac - week.share_low_frac <= one.share_high_frac - one.share_low_frac
    assert week.n_sessions == 6


def test_simulated_shares_are_covered_and_unbiased():
    for sd in (2.0, 4.0, 6.0):
        found = easy_rates(600, 8, sd)
        assert 0.86 <= found["session coverage"] <= 0.98
        assert 0.86 <= found["week coverage"] <= 0.98
        # a share at the accepted value, whose beat counts below it: half a beat more than at the value's middle
        assert abs(found["bias"]) <= 0.04
        assert abs(found["week bias"]) <= 0.04


def test_threshold_sd_from_a_90_pct_interval():
    assert threshold_sd(150.0, 150.0 + 2 * 1.645) == pytest.approx(1.0)


def test_refusals_say_what_was_given():
    with pytest.raises(TooLittleData, match=r"0 s of it are usable"):
        easy_share(HR, np.zeros(6), threshold_bpm=150.0, threshold_sd_bpm=3.0)
    with pytest.raises(TooLittleData, match=r"at least 1 session; 0 were given"):
        easy_share_of_week([], [], threshold_bpm=150.0, threshold_sd_bpm=3.0)
    with pytest.raises(BadArgument, match=r"-1 bpm and 0.8 were given"):
        judge(threshold_sd_bpm=-1.0)
