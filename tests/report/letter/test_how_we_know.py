"""The letter's small print: thresholds, what ordinary sessions say of them, load, version, and the next thing."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from report.season_drawn import BETTER, ordinary, plain, season, week
from season_parts import anna, day, reading, readings_of, session

from coachlib import __version__
from coachlib.analysis.roster.athlete_week import AthleteWeek
from coachlib.analysis.roster.one_thing import one_thing
from coachlib.measures.season.threshold_watch import SILENT_WEEKS
from coachlib.records.athlete import Threshold
from coachlib.report.letter.how_we_know import how_we_know, methods, watch_words
from coachlib.report.words.catalogue import whole


def next_thing(now, behind):
    """The one thing for next week: what, why, and whether it is a test."""
    thing = one_thing(AthleteWeek(week=now, season=behind))
    return SimpleNamespace(what=whole(thing.what), why=whole(thing.why), is_test=thing.is_test)


def page_of(*results):
    return plain(how_we_know(*results))


SILENCE = "That they do not disagree is no confirmation; only a test is."
NEAR = [reading(day(w, at), first_half=148.0, drift=4.0) for w in range(16) for at in (1, 4)]


def with_watch(**changes):
    """A season whose watch says this in its last week."""
    built = season(ordinary(), NEAR)
    main = built.main_watch
    last = replace(main.watch.latest, **changes)
    changed = replace(main, watch=replace(main.watch, weeks=(*main.watch.weeks[:-1], last)))
    return replace(built, watches=(changed, *built.watches[1:]))


def test_a_point_is_told_with_its_interval_and_that_silence_confirms_nothing():
    (said,) = watch_words(
        with_watch(hr_bpm=151.0, hr_low_bpm=146.0, hr_high_bpm=157.0, disagrees="", silent_weeks=0)
    )
    assert said == f"Your ordinary sessions say: 151 bpm (146 to 157). {SILENCE}"


def test_without_a_point_the_bound_is_told():
    (said,) = watch_words(with_watch(hr_bpm=None, at_least_bpm=141.4, disagrees="", silent_weeks=2))
    assert said == f"Your ordinary sessions say: at least 141 bpm. {SILENCE}"


def test_disagreement_asks_for_a_test_near_what_they_say():
    (said,) = watch_words(with_watch(hr_bpm=None, hr_low_bpm=155.0, hr_high_bpm=171.0, disagrees="higher"))
    assert said == (
        "Your ordinary sessions disagree with the accepted threshold of 150 bpm, it seems higher; plan a test near "
        "163 bpm (155 to 171)."
    )


def test_sessions_that_teach_nothing_leave_it_unchecked_since_it_was_accepted():
    built = season(ordinary())
    assert built.watch is None
    assert watch_words(built) == ()
    far = [reading(day(w, 1), first_half=118.0, drift=1.0) for w in range(16)]
    (said,) = watch_words(season(ordinary(), far))
    assert said.startswith("Not checked since 3 August 2026: the sessions since were too easy")


def test_unchecked_since_the_week_that_last_taught_something():
    built = with_watch(silent_weeks=SILENT_WEEKS, disagrees="")
    n = len(built.watch.weeks)
    (said,) = watch_words(built)
    last = day(n - SILENT_WEEKS - 1, 6)
    assert said.startswith(f"Not checked since {last.day} {last:%B %Y}")


def test_nothing_is_said_of_a_threshold_that_is_not_accepted():
    assert watch_words(season(ordinary(), NEAR, anna(thresholds=()))) == ()
    assert watch_words(None) == ()


def test_an_old_threshold_is_due_for_a_new_look():
    page = page_of(week(ordinary()), None)
    assert "3 August 2026 (16 weeks old, due for a new look)" in page
    fresh = Threshold(which="first", on=day(12), hr_bpm=150)
    assert "due for a new look" not in page_of(week(ordinary(), anna(thresholds=(fresh,))), None)


def test_the_page_names_version_and_newest_data_but_no_day_of_making():
    sessions = [session(day(15, 2)), session(day(15, 4))]
    page = page_of(week(sessions), None)
    assert (
        f"Made by coachlib {__version__} from what was recorded and written down up to 20 November 2026."
        in page
    )
    assert "written down before 16 November 2026" in page_of(week(), None)


def test_methods_of_the_season_are_named():
    built = season(ordinary(), readings_of(BETTER))
    named = methods(week(ordinary()), built)
    for found in (built.main_trend.trend, built.watch, built.easy_four_weeks, built.load_range):
        assert found.method in named
    assert built.watch.method not in methods(week(ordinary()))


def test_load_is_told_beside_the_athletes_own_range():
    built = season(ordinary())
    own = built.load_range
    page = page_of(week(ordinary()), built)
    assert f"Your own range by heart rate, from eight weeks: {own.low:.0f} to {own.high:.0f}." in page
    assert "they foretell nothing" in page


def test_why_output_says_nothing_yet_is_told():
    few = readings_of(BETTER[:3], per_week=1)
    page = page_of(week(ordinary()), season(ordinary(), few))
    assert "The weeks to compare with hold 3 of the 4 steady sessions needed" in page
    enough = season(ordinary(), [r for r in readings_of(BETTER) if r.on >= day(12)])
    said = page_of(week(ordinary()), enough)
    assert "so far, too early to tell a change." in said
    assert "No change can be told until the week of 30 November 2026." in said
    assert "too early" not in page_of(week(ordinary()), season(ordinary(), readings_of(BETTER)))


@pytest.mark.parametrize("health", ["ill", None])
def test_a_disagreement_becomes_the_one_thing_unless_the_athlete_is_ill(health):
    fresh = anna(thresholds=(Threshold(which="first", on=day(12), hr_bpm=150),))
    built = with_watch(hr_bpm=158.0, disagrees="higher")
    thing = next_thing(week([session(day(15, 1), health=health, minutes=90)], fresh), built)
    if health:
        assert thing.what.startswith("Rest until you are well")
    else:
        assert thing.is_test
        assert thing.what.startswith("A steady test near 158 bpm: 15 minutes at the test's own setting")
        assert thing.why == (
            "Your ordinary sessions disagree with the accepted first threshold, 150 bpm: it seems higher."
        )


def test_carrying_on_does_not_speak_over_the_coach():
    fresh = anna(thresholds=(Threshold(which="first", on=day(12), hr_bpm=150),))
    alone, noted = (
        next_thing(week([session(day(15, 1))], fresh, note=n), None) for n in (None, "A test, please.")
    )
    assert alone.what == noted.what == "Carry on as planned."
    assert "what your coach writes above comes first" in noted.why
    assert "coach" not in alone.why


def test_a_week_far_above_the_own_range_asks_for_an_ordinary_one():
    fresh = anna(thresholds=(Threshold(which="first", on=day(12), hr_bpm=150),))
    heavy = [replace(s, trimp=300.0) if s.on >= day(15) else s for s in ordinary()]
    built = season(heavy, athlete=fresh)
    thing = next_thing(week(heavy, fresh), built)
    assert thing.what == "Let next week be an ordinary one, unless more was planned."
    own = built.load_range
    assert thing.why == (
        f"This week's load, 600, lies above your own range of the last eight weeks, {own.low:.0f} to {own.high:.0f}."
    )
    light = [replace(s, trimp=5.0) if s.on >= day(15) else s for s in ordinary()]
    assert next_thing(week(light, fresh), season(light, athlete=fresh)).what == "Carry on as planned."
