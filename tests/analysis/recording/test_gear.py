"""Gear that changed for good, and gear that comes and goes."""

from datetime import date, timedelta

import pytest
from built_activity import built_activity
from season_parts import wears

from coachlib.analysis.recording.gear import Gear, gear_of, last_change, written


def days(*gears):
    """A session a day from 1 November on."""
    return [(date(2026, 11, 1) + timedelta(days=i), gear) for i, gear in enumerate(gears)]


def shoes(text):
    return written(text)


def test_a_recording_tells_watch_strap_and_what_measures_its_output():
    activity = built_activity(device="1", heart_rate_sensor="2", power_sensor="3", stride_sensor="4")
    assert gear_of(activity, "", unit="W") == wears(watch="1", strap="2", power_meter="3")
    assert gear_of(activity, "", unit="m/s") == wears(watch="1", strap="2", foot_pod="4")


def test_what_the_recording_tells_goes_before_the_diary():
    text = "shoes: grey; strap: old; power meter: left"
    told = gear_of(built_activity(heart_rate_sensor="2"), text, unit="m/s")
    assert told == (*wears(strap="2"), Gear(thing="shoes", which="grey", is_recorded=False))
    assert {g.thing for g in gear_of(built_activity(), text, unit="W")} == {"shoes", "strap", "power meter"}


@pytest.mark.parametrize(
    "text", ["grey shoes", "Shoes: Grey", "fan on full, grey shoes", "grey  shoes; new tent"]
)
def test_the_same_shoes_in_other_words(text):
    assert written(text) == written("shoes: grey")


@pytest.mark.parametrize("text", ["", "shoes", "club machine", "trainer, fan", "road bike", "Schuhe: grau"])
def test_words_that_say_nothing_about_gear_that_matters(text):
    assert written(text) == ()


def test_another_watch_needs_two_sessions_on_each_side():
    a, b = wears(watch="A"), wears(watch="B")
    found = last_change(days(a, a, a, b, b))
    assert (found.on, found.in_words) == (date(2026, 11, 4), "another watch")
    assert last_change(days(a, a, a, a, b)) is None
    assert last_change(days(a, b, b, b, b)) is None


def test_what_comes_back_was_no_change():
    a, b = wears(watch="A"), wears(watch="B")
    assert last_change(days(a, a, b, b, b, a)) is None
    assert last_change(days(*[shoes("blue shoes"), shoes("light shoes")] * 5)) is None


def test_unknown_on_either_side_is_no_change():
    strap, none = wears(strap="A"), ()
    assert last_change(days(none, none, none, strap, strap, strap)) is None
    assert last_change(days(strap, strap, strap, none, none, none)) is None
    other = wears(strap="B")
    assert last_change(days(strap, strap, none, other, other)).on == date(2026, 11, 4)


def test_written_shoes_need_three_sessions_on_each_side():
    blue, new = shoes("blue shoes"), shoes("new blue shoes")
    assert last_change(days(blue, blue, blue, new, new)) is None
    found = last_change(days(blue, blue, blue, new, new, new))
    assert (found.on, found.in_words) == (date(2026, 11, 4), "other shoes")


def test_a_strap_that_gets_a_number_is_not_another_strap():
    """Only written at first, then told by the recording: the two cannot be compared."""
    assert last_change(days(*[shoes("strap: old")] * 3, *[wears(strap="77")] * 3)) is None


def test_the_last_of_several_changes_and_all_of_its_things():
    a, b, c = wears(watch="A", strap="1"), wears(watch="B", strap="1"), wears(watch="C", strap="2")
    found = last_change(days(a, a, b, b, c, c))
    assert (found.on, found.in_words) == (date(2026, 11, 5), "another watch and another strap")
    back = last_change(days(a, a, b, b, c, c), taken_back=lambda day: day == date(2026, 11, 5))
    assert (back.on, back.in_words) == (date(2026, 11, 3), "another watch")
