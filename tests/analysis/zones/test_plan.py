"""Zones of built athletes: limits of output that contradict nothing measured, and why there may be no zones."""

from datetime import date, timedelta
from itertools import pairwise
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coachlib.analysis.zones.measured import Measured, level_speed
from coachlib.analysis.zones.plan import Known, sports_of, usual_sport, zone_plan_of
from coachlib.measures.zones.scales import NEEDED
from coachlib.records.athlete import Athlete, Medicine, Threshold

DAY = date(2026, 11, 20)


def threshold(which, bpm, *, on=date(2026, 11, 1), **more):
    return Threshold(which=which, on=on, hr_bpm=bpm, **more)


def athlete(*thresholds, **more):
    known = {"hr_max_bpm": 190, "hr_rest_bpm": 50, "sports": ("cycling",)}
    return Athlete(slug="mira", name="Mira Example", thresholds=thresholds, **{**known, **more})


def known(person, measured=(), sessions=(), day=DAY):
    return Known(
        athlete=person, coach="", sessions=tuple(sessions), n_weeks=4, measured=tuple(measured), day=day
    )


def measured(kind, bpm, output, *, unit="W", sport="cycling", on=date(2026, 10, 1), all_out_s=None):
    return Measured(on=on, kind=kind, sport=sport, unit=unit, hr_bpm=bpm, output=output, all_out_s=all_out_s)


def by_effort(plan):
    return "no heart-rate limits under medicine" in [why.name for why in plan.refused]


def tops(plan):
    return {z.name: o.high for z, o in zip(plan.zones.zones, plan.outputs, strict=True)}


BOTH = (threshold("first", 150, power_w=180), threshold("second", 170, power_w=225))


@settings(deadline=None, max_examples=40)
@given(
    seed=st.integers(0, 10_000),
    first_w=st.floats(140, 200),
    more_w=st.floats(15, 70),
    n=st.integers(0, 12),
    trial_above=st.floats(0, 6),
)
def test_no_limit_contradicts_an_all_out_trial_or_an_accepted_pair(seed, first_w, more_w, n, trial_above):
    rng = np.random.default_rng(seed)
    hr = rng.uniform(110, 185, n)
    # short stages, whose heart rate lags: more power for a heart rate than an hour gives
    efforts = [measured("stage", h, 180 + (h - 150) / 0.35 + rng.normal(20, 15)) for h in hr]
    trial_w = first_w + more_w
    efforts.append(measured("trial", 170 + trial_above, trial_w, all_out_s=1800.0))
    person = athlete(threshold("first", 150, power_w=first_w), threshold("second", 170, power_w=trial_w))
    for scale in NEEDED:
        plan = zone_plan_of(known(person, efforts), scale=scale)
        limits = [(z.high_bpm, o.high) for z, o in zip(plan.zones.zones[:-1], plan.outputs[:-1], strict=True)]
        assert all(a[1] <= b[1] + 1e-9 for a, b in pairwise(limits))
        for bpm, watts in limits:
            assert watts <= (trial_w if bpm <= 170 + trial_above else np.inf) + 1e-6
            assert watts <= (first_w if bpm <= 150 else np.inf) + 1e-6
            assert watts >= (trial_w if bpm >= 170 else 0) - 1e-6
            assert watts >= (first_w if bpm >= 150 else 0) - 1e-6
    own = tops(zone_plan_of(known(person, efforts)))
    assert own["easy"] == pytest.approx(first_w)
    assert own["steady"] == pytest.approx(trial_w)


def test_a_short_all_out_trial_bounds_the_limits_up_to_its_heart_rate():
    efforts = [measured("test", 140, 160), measured("test", 150, 182)]
    free = tops(zone_plan_of(known(athlete(*BOTH), efforts)))
    five_minutes = measured("trial", 186, 240, all_out_s=300.0)
    bounded = tops(zone_plan_of(known(athlete(*BOTH), [*efforts, five_minutes])))
    assert free["hard"] > 240
    assert 225 < bounded["hard"] <= 240
    stronger = measured("trial", 187, 270, all_out_s=320.0, on=date(2026, 10, 20))
    assert tops(zone_plan_of(known(athlete(*BOTH), [*efforts, five_minutes, stronger])))["hard"] > 240


def test_without_an_accepted_output_the_newest_long_trial_is_met():
    person = athlete(threshold("first", 150), threshold("second", 172))
    efforts = [measured("stage", h, w) for h, w in ((130, 150), (150, 200), (170, 250))]
    efforts.append(measured("trial", 172, 230, all_out_s=1800.0))
    plan = zone_plan_of(known(person, efforts))
    assert tops(plan)["steady"] == pytest.approx(230)
    # what the stages say at 150 bpm lies too high by as much as at the trial
    assert tops(plan)["easy"] == pytest.approx(200 - 25, abs=1)


def test_an_accepted_output_above_an_all_out_trial_is_told():
    efforts = [measured("test", 140, 160), measured("trial", 174, 210, all_out_s=1800.0)]
    plan = zone_plan_of(known(athlete(*BOTH), efforts))
    assert [d.name for d in plan.doubts] == ["output above an all-out trial"]
    assert tops(plan)["steady"] == 225


def test_accepted_outputs_that_fall_are_told_and_the_newest_counts():
    person = athlete(
        threshold("first", 150, power_w=230), threshold("second", 170, power_w=225, on=date(2026, 11, 5))
    )
    plan = zone_plan_of(known(person, [measured("test", 140, 160)]))
    assert "accepted outputs do not rise" in [d.name for d in plan.doubts]
    assert tops(plan)["steady"] == 225


def test_two_accepted_pairs_are_enough_and_two_outputs_are_too_little():
    alone = tops(zone_plan_of(known(athlete(*BOTH))))
    assert (alone["easy"], alone["steady"]) == (180, 225)
    person = athlete(BOTH[0], threshold("second", 170))
    bare = zone_plan_of(known(person, [measured("test", 140, 160)]))
    assert bare.outputs == ()
    assert bare.no_output.name == "too few outputs"
    assert bare.zones is not None


def test_a_year_old_test_does_not_place_the_limits_of_today():
    old = [measured("test", h, w, on=DAY - timedelta(days=500)) for h, w in ((140, 60), (150, 80), (160, 90))]
    new = [measured("test", 140, 165), measured("test", 145, 172), measured("test", 150, 180)]
    assert tops(zone_plan_of(known(athlete(*BOTH), [*old, *new]))) == tops(
        zone_plan_of(known(athlete(*BOTH), new))
    )


def test_running_on_a_slope_is_brought_to_the_level_by_the_published_equation():
    # ACSM: 3.5 + 0.2 S + 0.9 S G; 10 km/h at 5 % is 44.33 ml/kg/min, as 12.25 km/h on the level
    assert 3.6 * level_speed(10 / 3.6, 0.05) == pytest.approx((44.3333 - 3.5) / 12 * 3.6, abs=1e-4)


def test_speed_on_wheels_or_water_is_no_running():
    efforts = [
        measured("test", 140, 8.0, unit="m/s"), measured("test", 150, 9.0, unit="m/s"),
        measured("test", 160, 10.0, unit="m/s"),
    ]  # fmt: skip
    person = athlete(threshold("first", 150), threshold("second", 170))
    assert zone_plan_of(known(person, efforts)).no_output.name == "too few outputs"


def test_zones_of_a_sport_come_from_its_own_thresholds_before_general_ones():
    person = athlete(
        threshold("first", 150), threshold("second", 170),
        threshold("first", 142, sport="rowing", on=date(2026, 6, 1)),
        threshold("second", 165, sport="rowing", on=date(2026, 6, 1)),
        sports=("running", "rowing"),
    )  # fmt: skip
    it = known(person)
    assert sports_of(it) == ("running", "rowing")
    assert zone_plan_of(it, sport="rowing").zones.zones[1].high_bpm == 142
    assert zone_plan_of(it, sport="running").zones.zones[1].high_bpm == 150
    assert zone_plan_of(it, sport="rowing").sport == "rowing"
    only_rows = athlete(*person.thresholds[2:], sports=("running", "rowing"))
    assert usual_sport(known(only_rows)) == "rowing"
    refused = zone_plan_of(known(only_rows), sport="running").refused
    assert [r.name for r in refused] == ["zones still need"]


def test_the_training_that_is_compared_is_that_of_the_sport():
    person = athlete(
        threshold("first", 145, sport="running", on=date(2026, 9, 1)), *BOTH, sports=("running", "rowing")
    )
    sessions = [
        SimpleNamespace(on=DAY, sport=sport, seconds_at_bpm=(0.0,) * 150 + (seconds,))
        for sport, seconds in (("running", 600.0), ("rowing", 4000.0))
    ]
    person = person.model_copy(
        update={
            "thresholds": (*person.thresholds, threshold("first", 149, sport="running", on=date(2026, 11, 2)))
        }
    )
    plan = zone_plan_of(known(person, sessions=sessions), sport="running")
    assert all(sum(c.result.seconds_after) == 600 and c.n_sessions == 1 for c in plan.compared)
    assert plan.compared


def test_a_bound_makes_no_zones_and_is_the_reason():
    bound = threshold("first", 148, hr_low_bpm=148, bounded="above", on=date(2026, 11, 10))
    plan = zone_plan_of(known(athlete(*BOTH, bound)))
    assert plan.zones is None
    assert [(r.name, r["is_above"]) for r in plan.refused] == [("no zones from a bound", True)]
    assert zone_plan_of(known(athlete(*BOTH, bound)), scale="share of maximum").zones is not None


def test_medicine_that_slows_the_heart_leaves_no_limits_in_beats_on_any_scale():
    begun = Medicine(on=date(2026, 11, 10), change="begun")
    person = athlete(*BOTH, medicines=(begun,))
    for scale in NEEDED:
        plan = zone_plan_of(known(person), scale=scale)
        assert plan.zones is None
        assert by_effort(plan)
        assert (plan.shares, plan.outputs, plan.compared, plan.doubts) == ((), (), (), ())
    assert zone_plan_of(known(person, day=date(2026, 11, 9))).zones is not None
    assert by_effort(zone_plan_of(known(athlete(*BOTH, heart_rate_medicine=True))))


def test_a_threshold_from_before_a_change_of_medicine_is_doubted():
    stopped = Medicine(on=date(2026, 11, 10), change="stopped")
    plan = zone_plan_of(known(athlete(*BOTH, medicines=(stopped,))))
    assert [d.name for d in plan.doubts] == ["threshold not checked since"] * 2


@pytest.mark.parametrize(
    ("changes", "lower", "higher"),
    [
        ({"hr_max_bpm": 168}, "second threshold", "maximum heart rate"),
        ({"hr_max_bpm": 170}, "second threshold", "maximum heart rate"),
    ],
)
def test_limits_that_do_not_rise_are_the_reason_for_no_zones(changes, lower, higher):
    plan = zone_plan_of(known(athlete(*BOTH, **changes)))
    assert plan.zones is None
    assert [(r["lower"], r["higher"]) for r in plan.refused] == [(lower, higher)]
