"""Whom heart rate misleads: no page gives limits in beats, asks for a test, or goes on as if nothing were."""

import pytest
from analysis.roster.test_triage import FRESH, NOW, monday, told
from season_parts import SETTINGS, day, reading, session

from coachlib.analysis.roster.one_thing import one_thing
from coachlib.analysis.season.watch import watches_of
from coachlib.measures.common.codes import code
from coachlib.records.athlete import Block, Threshold
from coachlib.records.diary import DiaryRow
from coachlib.records.health import Medicine
from coachlib.report.letter import letter, sentences
from coachlib.report.letter.day_rows import days
from coachlib.report.words.catalogue import sentence, way_out, whole

PREGNANT = {"blocks": (Block(start_on=day(8), kind="pregnant"),)}
BEGUN = {"medicines": (Medicine(on=day(15, 1), change="begun"),)}
STOPPED = {"medicines": (Medicine(on=day(0), change="begun"), Medicine(on=day(15, 1), change="stopped"))}
BOUND = (Threshold(which="first", on=day(12), hr_bpm=150, bounded="above"),)


def plain(page):
    """A page's words with ordinary blanks."""
    return str(page).replace("\u00a0", " ")


ASK_FOR_A_TEST = {"threshold in doubt", "threshold untested", "threshold stale", "test due"}


@pytest.mark.parametrize(
    ("person", "what"), [(PREGNANT, "by effort in pregnancy"), (BEGUN, "by effort under medicine")]
)
def test_talk_and_effort_take_the_place_of_heart_rate(person, what):
    found = monday(**person)
    assert one_thing(found).what.name == what
    assert (found.week.easy, found.season.easy_four_weeks, found.season.goals) == (None, None, None)
    assert found.week.zone_times == ()
    assert found.season.watches == ()
    assert not ASK_FOR_A_TEST & set(told(found))
    assert found.against_test()


def test_after_four_weeks_a_medicine_is_no_news_but_still_leaves_no_limits():
    found = monday(medicines=(Medicine(on=day(10), change="begun"),))
    assert one_thing(found).what.name == "carry on"
    assert found.week.by_effort.name == "no heart-rate limits under medicine"
    assert "heart rate" in " ".join(sentences.lead(found.week))


def test_a_threshold_from_before_a_medicine_was_stopped_is_not_checked_and_not_tested_at_once():
    found = monday(**STOPPED)
    (age,) = found.week.thresholds
    assert sentence(age.unchecked) == (
        "from before 17 Nov, when a medicine that changes heart rate was stopped, and was not checked since"
    )
    assert "we cannot tell" in " ".join(sentences.lead(found.week))
    assert next(c.name for c in found.against_test()) == "no test after medicine"
    assert not one_thing(found).is_test
    assert not ASK_FOR_A_TEST & set(told(found))


def test_from_a_bound_no_easy_share_is_told_not_of_four_weeks_either():
    value = Threshold(which="first", on=day(2), hr_bpm=150)
    found = monday(thresholds=(value, *BOUND))
    assert (found.week.easy, found.season.easy_four_weeks, found.season.goals) == (None, None, None)
    assert sentence(told(found)["test due"].code) == "of the first threshold only a bound is accepted"


def test_what_the_minutes_are_compared_with_are_the_same_sessions():
    found = monday()
    assert found.season.goals.n_sessions == 12
    assert found.season.goals.domains.total_s == pytest.approx(12 * 3600, rel=0.01)


def test_usual_minutes_in_zones_are_not_told_of_weeks_that_had_none():
    second = Threshold(which="second", on=day(12), hr_bpm=170)
    first = Threshold(which="first", on=day(12), hr_bpm=150)
    both = {"thresholds": (first, second), "hr_rest_bpm": 50}
    assert all(t.usual_minutes is not None for t in monday(**both).week.zone_times)
    found = monday(**both, medicines=STOPPED["medicines"])
    assert found.week.zone_times
    assert all(t.usual_minutes is None for t in found.week.zone_times)


def test_a_week_of_which_nothing_is_known_asks_for_a_word():
    assert one_thing(monday([])).what.name == "write how you are"
    rest = monday([], diary=[DiaryRow(on=day(15, 1), remarks="Holiday.")])
    assert one_thing(rest).what.name == "carry on"


def test_all_that_needs_a_physician_is_quoted_the_most_urgent_first():
    now = [
        session(day(15), remarks="Tight chest again."),
        session(day(15, 2), remarks="A bit dizzy."),
        session(day(15, 4), remarks="Collapsed on the sofa."),
    ]
    said = whole(one_thing(monday(now)).why)
    assert said.startswith(
        "On Friday 20 November you wrote: “Collapsed on the sofa”; on Monday 16 November you wrote: “Tight chest again”; on "
        "Wednesday 18 November you wrote: “A bit dizzy”. Your coach"
    )
    assert ".”" not in letter.next_thing(monday(now))


def test_who_is_hurt_or_ill_for_days_is_not_fine():
    hurt = monday([], blocks=(Block(start_on=day(14), kind="injured"),), last_on=day(13))
    assert sentence(told(hurt)["ill or hurt for days"].code) == "injured since 9 November 2026"
    assert "ill or hurt for days" not in told(monday())


def test_an_illness_that_is_over_asks_how_it_is_now():
    over = [session(day(15), health="ill"), session(day(15, 2), health="ok"), NOW[2]]
    found = told(monday(over))["illness or pain"]
    assert sentence(found.code).endswith("no longer since")
    assert way_out(found.code) == "ask how it is now"


def test_the_call_sheet_asks_for_no_test_of_whom_none_may_be_asked():
    fast = [session(day(15, d), hr=162, health="pain") for d in (0, 2, 4)]
    assert "test" not in way_out(told(monday(fast))["easy days not easy"].code)
    assert "test" in way_out(
        told(monday([session(day(15, d), hr=162) for d in (0, 2, 4)]))["easy days not easy"].code
    )


def test_drifts_under_medicine_and_before_it_changed_teach_nothing_about_a_threshold():
    readings = [reading(day(w), first_half=148.0) for w in range(16)]
    starts = [day(w) for w in range(16)]

    def n_read(**person):
        watches = watches_of(readings, monday(**person).week.athlete, SETTINGS, starts)
        return sum(w.watch.n_sessions for w in watches)

    stopped = (Medicine(on=day(3), change="begun"), Medicine(on=day(13), change="stopped"))
    assert n_read() == 4
    assert n_read(medicines=stopped) == 3
    assert n_read(**BEGUN) == 0


def test_a_recording_that_was_cut_is_told_in_its_row_and_on_the_call_sheet():
    cut = (code("file cut", announced_bytes=57_257, found_bytes=19_078),)
    found = monday([session(day(15, 4), minutes=37, caveats=cut), *NOW[:2]])
    told_so = "the recording of Friday 20 November is damaged or was cut off: 37 min of it could be read"
    assert sentence(told(found)["recording damaged"].code) == told_so
    assert "37 min of it could be read" in plain(days(found.week))
    assert "recording damaged" not in told(monday())


def test_limits_from_the_valley_are_not_sure_at_altitude_and_hold_again_below():
    camp = Block(start_on=day(15), stop_on=day(16, 6), kind="altitude")
    found = monday(blocks=(camp,))
    assert "from before the days at altitude from 16 Nov on" in " ".join(sentences.lead(found.week))
    assert one_thing(found).what.name == "carry on"
    past = Block(start_on=day(13), stop_on=day(13, 6), kind="altitude")
    assert monday(blocks=(past,)).week.easy.unchecked is None


def test_minutes_of_a_sport_without_zones_are_told_beside_the_zones():
    runs = {"which": "second", "on": day(12), "sport": "running", "hr_bpm": 170}
    person = {"thresholds": (*FRESH, Threshold(**runs)), "hr_rest_bpm": 50}
    ride = session(day(15, 5), sport="cycling")
    alone = monday(**person)
    both = monday([*NOW, ride], **person)
    assert both.week.zone_scale is not None
    assert "without these zones" not in plain(letter.evidence(alone.week, None))
    assert "1 h 00 of sessions without these zones are not in it." in plain(letter.evidence(both.week, None))
