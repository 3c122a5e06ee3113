"""One definition of a usual week: the median of the four complete weeks before, gaps and days apart left out."""

from datetime import date, timedelta
from types import SimpleNamespace

import pytest

from coachlib.analysis.week.usual import usual, weeks_that_count

MONDAY = date(2026, 11, 16)


def session(back, weekday=0, value=100.0):
    return SimpleNamespace(on=MONDAY - timedelta(weeks=back) + timedelta(days=weekday), value=value)


def of(*sessions, ill=lambda day: False):
    weeks = weeks_that_count(MONDAY, sessions, is_apart=ill)
    return usual([sum(s.value for s in week) for week in weeks])


def test_the_median_of_four_weeks_is_not_moved_by_one_odd_one():
    assert of(*(session(b, value=v) for b, v in ((1, 300), (2, 320), (3, 340), (4, 2000)))) == 330.0


def test_the_first_letter_and_a_single_week_compare_with_nothing():
    assert of() is None
    assert of(session(1)) is None
    assert of(session(1), session(2)) == 100.0


def test_neither_the_week_itself_nor_the_fifth_before_counts():
    assert of(session(0, value=999), session(5, value=999), session(1), session(4)) == 100.0


@pytest.mark.parametrize("n_ill", [1, 2])
def test_a_week_without_training_is_a_gap_and_a_short_one_inside_an_illness_is_no_usual_one(n_ill):
    ill = [session(b, 2, value=35.0) for b in range(1, n_ill + 1)]
    well = [session(b, value=300.0) for b in (3, 4)]
    last = MONDAY - timedelta(weeks=n_ill)
    assert of(*ill, *well, ill=lambda day: last <= day < MONDAY) == 300.0


def test_a_week_with_something_unknown_is_left_out():
    assert usual([300.0, None, 340.0]) == 320.0
    assert usual([300.0, None]) is None
