"""What is compared with stands still; a call is a function of what was known at its week's end."""

import time
from dataclasses import replace

import numpy as np
import pytest
from season_parts import LAST_WEEK, SETTINGS, anna, day, reading, readings_of, wears

from coachlib.analysis.season.season import analyse_season
from coachlib.analysis.week.calendar import week_of
from coachlib.measures.common.codes import code
from coachlib.records.athlete import Reference
from coachlib.records.health import Medicine

LEVEL = np.full(16, 3.0)
BETTER = 3.0 + 0.5 * np.clip((np.arange(16) - 3) / 6, 0, 1)


def season(readings, last_week=LAST_WEEK, **athlete):
    return analyse_season(last_week, (), readings, anna(**athlete), settings=SETTINGS)


def trend_of(readings, last_week=LAST_WEEK, **athlete):
    return season(readings, last_week, **athlete).main_trend


def years(n_before, truth, **options):
    """Readings of the season with so many weeks before it."""
    early = [
        reading(day(w, 2 * i), output=float(3.0 + x))
        for w, xs in zip(
            range(-n_before, 0), np.random.default_rng(1).normal(0, 0.1, (n_before, 3)), strict=True
        )
        for i, x in enumerate(xs)
    ]
    return early + readings_of(truth, **options)


def test_the_reference_weeks_stand_still_however_long_the_trend_grows():
    readings = years(40, BETTER, noise=0.06)
    trend = trend_of(readings)
    assert trend.since_on == day(-40)
    assert len(trend.weeks) == 16
    assert (trend.call, trend.direction, trend.n_readings) == ("clear", "up", 168)
    earlier = trend_of([r for r in readings if r.on < day(0)], week_of(day(-1)))
    assert (earlier.since_on, earlier.hr_reference_bpm) == (trend.since_on, trend.hr_reference_bpm)


def changes_of(readings):
    """Worlds in which something happens on the way: names and readings."""
    return {
        "nothing": readings,
        "another watch": [replace(r, gear=wears(watch="B")) if r.on >= day(9) else r for r in readings],
        "another strap": [replace(r, gear=wears(strap="1" if r.on < day(8) else "2")) for r in readings],
        "a long gap": [r for r in readings if not day(-9) <= r.on < day(1)],
        "harder sessions": [
            replace(r, output=replace(r.output, hr_bpm=147.0)) if r.on >= day(10) else r for r in readings
        ],
    }


@pytest.mark.parametrize("world", list(changes_of([])))
def test_a_call_for_a_past_week_is_not_changed_by_a_later_look(world):
    readings = changes_of(years(12, BETTER, noise=0.08))[world]
    whole = trend_of(readings)
    for weeks_ago in (1, 2, 4, 7):
        stop = day(16 - weeks_ago)
        then = trend_of([r for r in readings if r.on < stop], week_of(day(15 - weeks_ago)))
        later = {w.week: w.known for w in whole.weeks}
        known = then.weeks[-1].known
        if then.weeks[-1].week not in later:
            continue  # begun anew since
        again = later[then.weeks[-1].week]
        assert (again.call, again.direction) == (known.call, known.direction)
        assert again.change_bpm == pytest.approx(known.change_bpm)
        same = season(readings, week_of(day(15 - weeks_ago))).main_trend
        assert same == then, "readings of later weeks are no part of an earlier one's season"


def test_eight_weeks_without_a_reading_begin_a_new_comparison():
    readings = years(30, LEVEL)
    seven = trend_of([r for r in readings if not day(-10) <= r.on < day(-3)])
    assert (seven.since_on, seven.about) == (day(-30), ())
    nine = trend_of([r for r in readings if not day(-12) <= r.on < day(-3)])
    assert nine.since_on == day(-3)
    assert nine.about[0] == code("long gap", weeks=9, on=day(-3))


@pytest.mark.parametrize("change", ["begun", "changed", "stopped"])
def test_a_dated_change_of_medicine_begins_a_new_comparison(change):
    """Heart rate falls by 15 beats at the same output: medicine, not fitness."""
    slowed = [
        replace(r, output=replace(r.output, hr_bpm=125.0)) if r.on >= day(6) else r for r in years(4, LEVEL)
    ]
    trend = trend_of(slowed, medicines=(Medicine(on=day(6), change=change),))
    assert trend.about[0] == code("medicine changed", change=change, on=day(6))
    assert (trend.since_on, trend.hr_reference_bpm, trend.call) == (day(6), 125.0, "cannot tell")


def test_medicine_without_a_date_withholds_every_call():
    trend = trend_of(readings_of(BETTER, noise=0.06), heart_rate_medicine=True)
    assert {w.known.call for w in trend.weeks} == {"cannot tell"}
    assert trend.about == (code("medicine without date"),)
    assert trend.change is None


def test_a_stored_comparison_is_the_one_that_is_found():
    readings = years(12, BETTER, noise=0.06)
    found = trend_of(readings)
    kept = Reference(
        start_on=found.since_on, sport="running", hr_bpm=found.hr_reference_bpm, because="first weeks"
    )
    assert trend_of(readings, references=(kept,)) == found
    rowing = kept.model_copy(update={"sport": "rowing", "hr_bpm": 120.0})
    assert trend_of(readings, references=(rowing,)) == found


def test_a_stored_comparison_holds_when_older_sessions_are_gone_or_come_late():
    readings = years(12, BETTER, noise=0.06)
    later = [r for r in readings if r.on >= day(-8)]
    kept = Reference(start_on=day(-8), sport="running", hr_bpm=139.0, because="first weeks")
    trend = trend_of(later, references=(kept,))
    assert (trend.since_on, trend.hr_reference_bpm) == (day(-8), 139.0)
    assert trend_of(readings, references=(kept,)) == trend


def test_new_gear_goes_before_a_stored_comparison():
    new = [replace(r, gear=wears(watch="B")) if r.on >= day(6) else r for r in years(4, LEVEL)]
    kept = Reference(start_on=day(-4), sport="running", hr_bpm=138.0, because="first weeks")
    trend = trend_of(new, references=(kept,))
    assert (trend.since_on, trend.hr_reference_bpm) == (day(6), 140.0)


def test_sessions_far_from_the_reference_are_counted_not_compared():
    far = [replace(r, output=replace(r.output, hr_bpm=160.0)) for r in readings_of(LEVEL, per_week=1)]
    trend = trend_of(sorted([*readings_of(LEVEL), *far], key=lambda r: r.on))
    assert (trend.n_readings, trend.n_far) == (48, 16)


def test_three_years_are_followed_in_less_than_a_second():
    readings = years(156, BETTER)
    start = time.process_time()
    season(readings)
    assert time.process_time() - start < 2.0, "a second on a quiet machine"


def test_a_comparison_is_kept_once_a_change_can_be_called_and_never_moves_again():
    readings = years(4, BETTER, noise=0.06)
    assert trend_of([r for r in readings if r.on < day(1)], week_of(day(0))).to_keep is None
    assert (
        trend_of([r for r in readings if r.on < day(2)], week_of(day(1))).to_keep
        == trend_of(readings).to_keep
    )
    kept = trend_of(readings).to_keep
    assert (kept.sport, kept.where, kept.output, kept.because) == (
        "running",
        "outdoors",
        "speed",
        "first weeks",
    )
    late = [*years(10, BETTER, noise=0.06)[:15], *readings]
    calls = [w.known.call for w in trend_of(readings, references=(kept,)).weeks]
    assert calls == [w.known.call for w in trend_of(readings).weeks]
    assert calls == [w.known.call for w in trend_of(late, references=(kept,)).weeks]
    assert trend_of(late).since_on == day(-10)


def test_a_kept_comparison_speaks_for_its_own_sort_of_sessions_alone():
    readings = readings_of(BETTER)
    kept = trend_of(readings).to_keep
    for other in ({"where": "indoors"}, {"output": "power"}, {"sport": "rowing"}):
        changed = kept.model_copy(update={**other, "hr_bpm": 120.0})
        assert trend_of(readings, references=(changed,)) == trend_of(readings)
    assert (
        trend_of(readings, references=(kept.model_copy(update={"hr_bpm": 139.0}),)).hr_reference_bpm == 139.0
    )


def test_what_the_coach_set_or_withheld_is_not_kept_as_found():
    readings = readings_of(BETTER)
    assert trend_of(readings, references=(Reference(start_on=day(2)),)).to_keep is None
    assert trend_of(readings, heart_rate_medicine=True).to_keep is None
