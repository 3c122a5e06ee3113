import numpy as np
import pytest

from coachlib.errors import BadArgument
from coachlib.measures.week import load


def even_load(minutes, hr, **args):
    """Load of an even heart rate, second by second."""
    t = np.arange(60.0 * minutes)
    return load.banister_trimp(t, np.full(t.size, float(hr)), t >= 0, **args)


WEEK = [400, 0, 600, 300, 500, 0, 700]


@pytest.mark.parametrize(
    ("minutes", "hr", "rest", "highest", "men", "women"),
    # arithmetic on the coefficients of Morton, Fitz-Clarke & Banister 1990; the first is printed as 32 on public pages
    [
        (30, 130, 40, 200, 31.8025, 37.1285),
        (60, 150, 60, 190, 100.4403, 113.5168),
        (45, 150, 60, 190, 75.3302, 85.1376),
        (60, 140, 50, 190, 84.8182, 97.0533),
    ],
)
def test_banister_at_an_even_heart_rate(minutes, hr, rest, highest, men, women):
    for sex, expected in (("male", men), ("female", women)):
        found = even_load(minutes, hr, hr_rest_bpm=rest, hr_max_bpm=highest, sex=sex)
        assert found == pytest.approx(expected, abs=5e-5)


def test_the_sum_over_seconds_exceeds_the_load_of_the_mean():
    t = np.arange(3600.0)
    hr = np.where(t < 1800, 120.0, 180.0)
    summed = load.banister_trimp(t, hr, t >= 0, hr_rest_bpm=60, hr_max_bpm=190, sex="male")
    assert summed == pytest.approx(125.786, abs=1e-3)
    assert summed > even_load(60, 150, hr_rest_bpm=60, hr_max_bpm=190, sex="male")


def test_uneven_sampling_and_unused_samples_do_not_matter():
    t = np.arange(3600.0)
    hr = 120 + 20 * np.sin(t / 600)
    sparse = np.sort(np.random.default_rng(2).choice(3600, 1500, replace=False))
    sparse = np.union1d(sparse, [0, 3599])
    args = {"hr_rest_bpm": 50, "hr_max_bpm": 190, "sex": "female"}
    whole = load.banister_trimp(t, hr, t >= 0, **args)
    assert load.banister_trimp(t[sparse], hr[sparse], sparse >= 0, **args) == pytest.approx(whole, rel=0.01)
    spoilt = np.where(t < 600, 1e9, hr)
    assert load.banister_trimp(t, spoilt, t >= 600, **args) == load.banister_trimp(t, hr, t >= 600, **args)


def test_load_needs_a_maximum_above_rest():
    with pytest.raises(BadArgument, match="found 50 and 60 bpm"):
        even_load(60, 150, hr_rest_bpm=60, hr_max_bpm=50, sex="male")


def test_monotony_and_strain():
    # Foster 1998 leaves open how the standard deviation divides; here by seven, arithmetic
    assert load.monotony(WEEK) == pytest.approx(1.39754, abs=5e-6)
    assert load.strain(WEEK) == pytest.approx(3493.86, abs=5e-3)


def test_a_week_of_equal_days_has_no_monotony():
    assert load.monotony([300] * 7) is None
    assert load.strain([0] * 7) is None


def test_session_rating():
    assert load.session_rpe_load(6, 120) == 720  # Foster 2001, arithmetic
