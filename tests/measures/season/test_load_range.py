import numpy as np
import pytest
from benchmarks.shares_and_loads import load_rates
from scipy import stats

from coachlib.measures.common.codes import code
from coachlib.measures.season.load_range import load_in_own_range

USUAL = [300.0, 320.0, 280.0, 310.0, 290.0, 300.0, 330.0, 305.0]


def test_limits_agree_with_a_prediction_interval_written_out():
    found = load_in_own_range(USUAL, 310.0)
    logs = np.log(USUAL)
    sd = np.sqrt((6 * 0.30**2 + 7 * logs.var(ddof=1)) / 13)
    reach = stats.t.ppf(0.975, 13) * sd * np.sqrt(1 + 1 / 8)
    assert found.high == pytest.approx(np.exp(logs.mean() + reach))
    assert found.low == pytest.approx(np.exp(logs.mean() - reach))
    assert found.verdict == "usual"
    assert found.side == ""


@pytest.mark.parametrize(("load", "verdict", "side"), [(900.0, "flag", "high"), (90.0, "flag", "low")])
def test_words_by_distance(load, verdict, side):
    found = load_in_own_range(USUAL, load)
    assert (found.verdict, found.side) == (verdict, side)


def test_between_the_two_limits_it_is_unusual_only():
    limits = load_in_own_range(USUAL, 310.0)
    found = load_in_own_range(USUAL, (limits.high + limits.flag_high) / 2)
    assert (found.verdict, found.side) == ("unusual", "high")


@pytest.mark.parametrize("load", [80.0, 310.0, 560.0, 900.0])
def test_the_unit_of_load_does_not_matter(load):
    first, second = load_in_own_range(USUAL, load), load_in_own_range([7.0 * w for w in USUAL], 7.0 * load)
    assert (first.verdict, first.side) == (second.verdict, second.side)
    assert second.high == pytest.approx(7.0 * first.high)


def test_weeks_off_are_left_out_and_said():
    found = load_in_own_range([300, 0, 320, 310, 0, 290, 305], 300)
    assert found.n_weeks == 5
    assert found.caveats[0] == code("weeks without load", n=2, n_weeks=7)


def test_only_the_last_eight_weeks_count():
    assert load_in_own_range([9000.0] * 5 + USUAL, 310.0) == load_in_own_range(USUAL, 310.0)


@pytest.mark.parametrize("earlier", [[], [300.0], [300.0, 310.0, 290.0], [0.0] * 8, [float("nan")] * 8])
def test_too_few_weeks_are_silent(earlier):
    found = load_in_own_range(earlier, 1000.0)
    assert found.verdict == "cannot tell"
    assert found.high is None


def test_a_week_without_load_is_not_judged():
    assert load_in_own_range(USUAL, 0.0).verdict == "cannot tell"


def test_ordinary_weeks_are_rarely_flagged():
    for cv, limit in ((0.2, 0.004), (0.3, 0.010), (0.4, 0.018)):
        assert load_rates(6000, 3, cv)["high, flag"] <= limit


def test_a_doubled_week_is_found_in_a_steady_season():
    assert load_rates(4000, 4, 0.2)["doubled found"] >= 0.42
