"""Planned days and the one range that leads each: nothing is made up where thresholds are missing."""

from datetime import date

import pytest

from coachlib.analysis.plan.lead_range import lead_range
from coachlib.analysis.plan.planned import planned_days
from coachlib.records.athlete import Athlete
from coachlib.records.diary import DiaryRow

THURSDAY = date(2026, 11, 26)


def threshold(which, hr_bpm, **more):
    return {"which": which, "on": "2026-11-01", "hr_bpm": hr_bpm, **more}


def mira(*thresholds, sports=("running",), **more):
    return Athlete(slug="mira", name="Mira", sports=sports, thresholds=thresholds, **more)


BOTH = (
    threshold("first", 150, hr_low_bpm=146, hr_high_bpm=155),
    threshold("second", 170, speed_mps=4.0),
)


@pytest.mark.parametrize(
    ("meant", "by", "low", "high"),
    [
        ("easy", "heart rate", None, 150),
        ("long", "heart rate", None, 150),
        ("steady", "heart rate", 146, 155),
        ("threshold", "speed", 3.8, 4.0),
        ("short hard", "speed", 4.0, None),
    ],
)
def test_each_kind_is_led_by_its_own_quantity(meant, by, low, high):
    lead = lead_range(meant, mira(*BOTH), on=THURSDAY, sport="running")
    assert (lead.by, lead.low, lead.high) == (by, low and pytest.approx(low), high)


@pytest.mark.parametrize("meant", ["rest", "strength", "strides", "test", "race", "other", "intervals"])
def test_no_range_where_the_kind_has_none(meant):
    assert lead_range(meant, mira(*BOTH), on=THURSDAY, sport="running") is None


@pytest.mark.parametrize(
    "athlete",
    [
        pytest.param(mira(), id="no thresholds"),
        pytest.param(mira(threshold("first", 150, sport="cycling")), id="of another sport"),
        pytest.param(mira(threshold("first", 150, bounded="above")), id="only a bound"),
        pytest.param(mira(threshold("first", 150, withdrawn=True)), id="withdrawn"),
        pytest.param(mira({**threshold("first", 150), "on": "2026-12-01"}), id="accepted later"),
        pytest.param(mira(*BOTH, heart_rate_medicine=True), id="medicine slows the heart"),
        pytest.param(
            mira(*BOTH, blocks=[{"start_on": "2026-11-05", "stop_on": "2026-11-09", "kind": "ill"}]),
            id="not checked since an illness",
        ),
    ],
)
@pytest.mark.parametrize(("meant", "effort"), [("easy", (2, 3)), ("short hard", (7, 9))])
def test_effort_leads_where_nothing_else_may(athlete, meant, effort):
    lead = lead_range(meant, athlete, on=THURSDAY, sport="running")
    assert (lead.by, lead.low, lead.high) == ("effort", *effort)


def test_an_athlete_of_two_sports_is_led_by_effort_until_the_plan_says_which():
    athlete = mira(threshold("first", 150, sport="running"), sports=("running", "cycling"))
    rows = [
        DiaryRow(on="2026-11-26", target="easy"),
        DiaryRow(on="2026-11-27", target="easy", sport="Running"),
    ]
    assert [day.lead.by for day in planned_days(rows, athlete)] == ["effort", "heart rate"]


def test_a_general_threshold_holds_where_the_sport_is_not_said():
    athlete = mira(threshold("first", 150), sports=("running", "cycling"))
    (day,) = planned_days([DiaryRow(on="2026-11-26", target="easy")], athlete)
    assert (day.sport, day.lead.high) == (None, 150)


def test_days_stand_in_order_and_what_plans_nothing_is_passed_over():
    rows = [
        DiaryRow(on="2026-11-27", planned="easy 50"),
        DiaryRow(on="2026-11-26", planned="strength", start="18:00"),
        DiaryRow(on="2026-11-25", health="ok", sleep_h=7),
        DiaryRow(on="2026-11-26", planned="easy 40", start="07:00"),
    ]
    days = planned_days(rows, mira())
    assert [(d.on.day, d.meant) for d in days] == [(26, "easy"), (26, "strength"), (27, "easy")]


def test_the_coachs_own_word_for_a_target_stays_and_leads_nothing():
    (day,) = planned_days([DiaryRow(on="2026-11-26", target="Hill sprints", kind="easy")], mira(*BOTH))
    assert (day.meant, day.target, day.lead) == ("other", "Hill sprints", None)
