"""Which weeks a season is compared with: built seasons whose truth is known."""

from dataclasses import replace
from datetime import date, timedelta

import numpy as np
import pytest
from season_parts import LAST_WEEK, SETTINGS, anna, day, reading, readings_of, wears

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.recording.gear import written
from coachlib.analysis.season.season import analyse_season
from coachlib.measures.common.codes import code
from coachlib.records.athlete import Block, Reference

LEVEL = np.full(16, 3.0)
A_TEST = SeriesTest(on=day(0), first_half_bpm=140.0, drift_pct=1.0, se_pct=0.5, minutes=60.0)
BETTER = 3.0 + 0.5 * np.clip((np.arange(16) - 3) / 6, 0, 1)


def trend_of(readings, *references, **athlete):
    """The main trend of readings, under what the coach wrote."""
    season = analyse_season(
        LAST_WEEK, (), readings, anna(references=references, **athlete), settings=SETTINGS
    )
    return season.main_trend


def from_week(readings, week, **changes):
    return [replace(r, **changes) if r.on >= day(week) else r for r in readings]


def step_with(week, **changes):
    """No change of the athlete, but readings a whole m/s higher from a week on."""
    truth = np.where(np.arange(16) < week, 3.0, 4.0)
    return from_week(readings_of(truth), week, **changes)


@pytest.mark.parametrize(
    ("gear", "words"),
    [
        (wears(watch="B"), ("another watch",)),
        (wears(watch="A", strap="9"), ()),
        (wears(watch="A"), ()),
    ],
)
def test_a_step_with_another_watch_is_no_change_of_the_athlete(gear, words):
    trend = trend_of(step_with(8, gear=gear))
    assert trend.new_gear == words
    assert (trend.call == "clear") == (words == ())


def test_another_strap_and_other_shoes_start_a_new_reference():
    strap = from_week(
        [replace(r, gear=wears(strap="1")) for r in readings_of(LEVEL)], 8, gear=wears(strap="2")
    )
    assert trend_of(strap).new_gear == ("another strap",)
    blue = [replace(r, gear=written("blue shoes")) for r in readings_of(LEVEL)]
    assert trend_of(from_week(blue, 8, gear=written("grey shoes"))).new_gear == ("other shoes",)


def test_the_result_says_why_since_when_and_until_when_nothing_can_be_told():
    trend = trend_of(step_with(12, gear=wears(watch="B")))
    assert (trend.since, trend.until) == ("2026-W44", "2026-W47")
    assert trend.new_reference_on == day(12)
    assert not trend.earlier_kept
    assert trend.first_call_on == day(17)
    assert trend.about[:2] == (
        code("new gear", things=("another watch",), on=day(12), note=""),
        code("no change told before", from_on=date(2026, 11, 30)),
    )


def test_once_a_change_can_be_told_the_sentence_no_longer_says_when():
    """Ten weeks with the new watch, better from their fifth on."""
    truth = np.where(np.arange(16) < 10, 3.0, 3.5)
    trend = trend_of(from_week(readings_of(truth, noise=0.05), 6, gear=wears(watch="B")))
    assert "no change told before" not in {c.name for c in trend.about}
    assert (trend.call, trend.direction) == ("clear", "up")
    assert trend.change == pytest.approx(0.5, abs=0.1)


def test_sessions_that_are_not_compared_still_tell_since_when_a_watch_is_worn():
    readings = readings_of(LEVEL)
    late = from_week([r for r in readings if r.on < day(8) or r.on >= day(9)], 8, gear=wears(watch="B"))
    hard = reading(day(8), gear=(*wears(watch="B"), *written("race shoes")), output=3.0)
    hard = replace(hard, output=None, no_output=code("kind not compared", kind="intervals"))
    assert trend_of(sorted([*late, hard], key=lambda r: r.on)).new_reference_on == day(8)


def test_what_belt_tests_are_done_with_hides_no_new_shoes():
    """Old shoes stay in the gym for the belt; outdoors they were replaced."""
    blue = [replace(r, gear=written("blue shoes")) for r in readings_of(LEVEL)]
    outdoors = from_week(blue, 8, gear=written("grey shoes"))
    belt = [
        replace(
            r,
            group="running indoors",
            gear=written("blue shoes"),
            test=A_TEST,
            output=replace(r.output, test_sd_bpm=2.6),
        )
        for r in readings_of(LEVEL, per_week=1)
    ]
    trend = trend_of(sorted([*outdoors, *belt], key=lambda r: r.on))
    assert (trend.new_gear, trend.n_tests) == (("other shoes",), 8)


def test_the_coachs_own_words_go_before_what_was_found_on_the_same_day():
    new = Reference(start_on=day(7, 6), because="new watch", note="a present")
    trend = trend_of(step_with(8, gear=wears(watch="B")), new)
    assert (trend.new_gear, trend.reference_found) == (("new watch",), False)


def test_a_coach_can_take_a_new_reference_back():
    shod = from_week(
        [replace(r, gear=written("blue shoes")) for r in readings_of(BETTER)], 12, gear=written("new shoes")
    )
    assert trend_of(shod).call == "cannot tell"
    kept = trend_of(shod, Reference(start_on=day(12), because="compare on"))
    assert (kept.new_gear, kept.call, kept.direction) == ((), "clear", "up")
    elsewhere = Reference(start_on=day(3), stop_on=day(5), because="compare on")
    assert trend_of(shod, elsewhere).new_gear == ("other shoes",)


def test_new_gear_named_by_the_coach_leaves_earlier_readings_out():
    new = Reference(start_on=day(9, 1), because="new strap", note="old one lost in the lake")
    trend = trend_of(step_with(9), new)
    assert trend.call == "cannot tell"
    assert trend.n_readings == 7 * 3 - 1
    assert trend.about[0] == code(
        "new gear", things=("new strap",), on=day(9, 1), note="old one lost in the lake"
    )


def test_gear_matters_where_it_measures():
    meter, shoes = (Reference(start_on=day(8), because=b) for b in ("new power meter", "new shoes"))
    assert trend_of(readings_of(LEVEL), meter).new_gear == ()
    ride = [replace(r, unit="W", sport="cycling", group="cycling") for r in readings_of(LEVEL)]
    assert trend_of(ride, meter).new_gear == ("new power meter",)
    assert trend_of(ride, shoes).new_gear == ()


def test_moved_reference_weeks_keep_all_readings():
    moved = Reference(start_on=day(10), note="back from altitude")
    trend = trend_of(readings_of(BETTER, noise=0.03), moved)
    assert trend.n_readings == 48
    assert len(trend.weeks) == 16
    assert trend.call == "cannot tell"
    assert (trend.since, trend.until) == ("2026-W42", "2026-W45")
    assert trend.earlier_kept
    assert trend.about[0] == code(
        "reference moved", first_on=day(10), last_on=day(13, 6), note="back from altitude"
    )


def test_only_weeks_after_moved_reference_weeks_are_called():
    moved = Reference(start_on=day(4), stop_on=day(8, 6))
    trend = trend_of(readings_of(BETTER + np.where(np.arange(16) >= 9, 0.6, 0.0), noise=0.03), moved)
    assert trend.trend.reference_weeks == (4, 5, 6, 7, 8)
    assert all(w.known.call == "cannot tell" for w in trend.weeks[:10])
    assert trend.call == "clear"


def test_moved_weeks_before_new_gear_are_superseded():
    moved = Reference(start_on=day(2))
    trend = trend_of(step_with(8, gear=wears(watch="B")), moved)
    assert (trend.new_gear, trend.since) == (("another watch",), "2026-W40")
    both = trend_of(step_with(8, gear=wears(watch="B")), Reference(start_on=day(10)))
    assert [c.name for c in both.about[:2]] == ["new gear", "reference moved"]
    assert (both.since, both.n_readings) == ("2026-W42", 24)


def test_references_outside_the_season_change_nothing():
    plain = trend_of(readings_of(BETTER))
    for reference in (
        Reference(start_on=day(0) - timedelta(weeks=30)),
        Reference(start_on=day(20)),
        Reference(start_on=day(20), because="new strap"),
        Reference(start_on=day(0) - timedelta(weeks=3), because="new strap"),
    ):
        assert trend_of(readings_of(BETTER), reference) == plain


def test_a_lone_early_session_is_no_reference():
    early = reading(day(0), output=3.0)
    trend = trend_of([early, *[r for r in readings_of(BETTER) if r.on >= day(5)]])
    assert trend.since == "2026-W37"
    assert trend.n_readings == 33


def test_days_apart_count_neither_for_trend_nor_watch():
    """Three weeks of travel with readings far down: neither a call, nor a vote against the threshold."""
    readings = readings_of(np.where(np.arange(16) >= 13, 2.0, 3.0), first_half=150.0, drift=5.0)
    away = [replace(r, drift=replace(r.drift, drift_pct=15.0)) if r.on >= day(13) else r for r in readings]
    for kind in ("ill", "travel", "altitude"):
        block = Block(start_on=day(13), stop_on=day(15, 6), kind=kind)
        season = analyse_season(LAST_WEEK, (), away, anna(blocks=(block,)), settings=SETTINGS)
        assert season.main_trend.call == "cannot tell"
        assert season.main_trend.n_readings == 39
        assert season.watch.n_sessions == 39
        assert season.watch.latest.disagrees == ""
    season = analyse_season(LAST_WEEK, (), away, anna(), settings=SETTINGS)
    assert season.main_trend.direction == "down"
    assert season.watch.latest.disagrees == "lower"
