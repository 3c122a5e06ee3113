"""Two tests against each other: what one day explains is no news, what cannot be compared is said."""

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.two_tests import two_tests
from coachlib.errors import BadArgument
from coachlib.records.athlete import Athlete
from coachlib.records.diary import DiaryRow
from coachlib.records.health import Medicine

MIRA = Athlete(slug="mira", name="Mira")
BELT = SeriesTest(
    on=date(2026, 9, 3), first_half_bpm=150, drift_pct=3.0, se_pct=0.3, minutes=60, speed_mps=2.8, grade=0.0,
    temperature_c=20, sport="running", source="a", sha256="a",
)  # fmt: skip
LATER = replace(BELT, on=date(2026, 11, 3), source="b", sha256="b")


def test_the_scatter_of_two_days_is_called_nothing_nine_times_in_ten():
    """Standard error of measurement 2.5 bpm a day (Lamberts et al. 2004): intervals hold 90 %, calls stay silent."""
    rng = np.random.default_rng(7)
    days = rng.normal(150, 2.5, (2000, 2))
    found = [
        two_tests(replace(BELT, first_half_bpm=one), replace(LATER, first_half_bpm=other), MIRA).hr
        for one, other in days
    ]
    held = np.mean([f.low <= 0 <= f.high for f in found])
    assert 0.88 <= held <= 0.92
    assert np.mean([f.call in ("likely", "clear") for f in found]) <= 0.1


def test_a_change_beyond_that_is_called_by_its_size():
    calls = [two_tests(BELT, replace(LATER, first_half_bpm=150 - by), MIRA).hr.call for by in (2, 5, 7, 9)]
    assert calls == ["cannot tell", "possible", "likely", "clear"]


def test_the_order_of_asking_changes_nothing():
    assert two_tests(LATER, BELT, MIRA) == two_tests(BELT, LATER, MIRA)


def test_another_speed_is_taken_out_by_the_usual_slope_and_makes_it_less_sure():
    """25.5 bpm per m/s: 0.2 m/s faster at 5.1 bpm more is no change."""
    faster = two_tests(BELT, replace(LATER, speed_mps=3.0, first_half_bpm=155.1), MIRA)
    assert faster.hr.size == pytest.approx(0.0, abs=0.3)
    assert faster.hr.sd > two_tests(BELT, LATER, MIRA).hr.sd
    assert faster.drift is None
    assert faster.drift_not_told.name == "tests not equally hard"


def test_heat_above_the_reference_is_taken_out_of_both():
    """0.8 bpm and 0.4 points for each degree above 21, as in the series of tests."""
    hot = two_tests(BELT, replace(LATER, temperature_c=26, first_half_bpm=154, drift_pct=5.0), MIRA)
    assert hot.hr.size == pytest.approx(0.0)
    assert hot.drift is None or hot.drift.size == pytest.approx(0.0)


def test_a_short_window_counts_with_its_error_brought_to_an_hour():
    short = replace(LATER, minutes=30, drift_pct=1.5, se_pct=0.6)
    found = two_tests(BELT, short, MIRA)
    assert found.drift.size == pytest.approx(0.0)
    assert found.drift.sd == pytest.approx((0.3**2 + 1.2**2 + 2) ** 0.5)
    assert [c.name for c in found.caveats] == ["one of two tests is short"]


def test_medicine_between_them_ends_the_comparison():
    athlete = MIRA.model_copy(update={"medicines": (Medicine(on=date(2026, 10, 1), change="begun"),)})
    found = two_tests(BELT, LATER, athlete)
    assert (found.hr, found.drift) == (None, None)
    assert found.hr_not_told.name == "medicine changed between the tests"


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"speed_mps": None, "grade": None}, "setting of a test not known"),
        ({"speed_mps": None, "grade": None, "power_w": 200.0}, "setting of a test not known"),
    ],
)
def test_what_cannot_be_compared_says_why(change, why):
    assert two_tests(BELT, replace(LATER, **change), MIRA).hr_not_told.name == why


def test_a_day_of_illness_is_told():
    ill = replace(LATER, conditions=DiaryRow(on=LATER.on, health="ill"))
    assert "unwell at one of two tests" in [c.name for c in two_tests(BELT, ill, MIRA).caveats]


def test_one_test_twice_and_two_sports_are_refused():
    with pytest.raises(BadArgument, match="this is one and the same"):
        two_tests(BELT, BELT, MIRA)
    with pytest.raises(BadArgument, match="the tests are of rowing and running"):
        two_tests(BELT, replace(LATER, sport="rowing"), MIRA)
