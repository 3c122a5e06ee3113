"""The week ahead: what is asked, what waits, what the coach is told; plan and one thing never contradict each other."""

from datetime import date

import pytest
from planning import monday_of, person, rows, session

from coachlib.analysis.roster.call_sheet import reasons_of
from coachlib.analysis.roster.due_tests import clear_of_events, next_due_test
from coachlib.analysis.roster.one_thing import one_thing
from coachlib.analysis.roster.week_ahead import week_ahead
from coachlib.measures.common.codes import code
from coachlib.measures.first_threshold.machine_settings import Settings
from coachlib.measures.first_threshold.next_test import NextTest
from coachlib.records.athlete import Event
from coachlib.records.diary import DiaryRow
from coachlib.records.roster import TriageSettings
from coachlib.report.letter.letter import next_thing
from coachlib.report.letter.week_ahead import ahead
from coachlib.report.words.catalogue import way_out

EASY, HARD = {"target": "easy", "planned_min": 50}, {"planned": "4 x 4 min", "target": "short hard"}
TEST = {"target": "test", "kind": "drift test", "planned": "steady test", "planned_min": 75}
PLAN = rows((24, EASY), (26, HARD), (28, TEST))


def wrote(**cells):
    """A diary row of Friday."""
    return (DiaryRow(on=date(2026, 11, 20), **cells),)


def held(monday):
    return {d.day.on.day: d.held[0].name for d in week_ahead(monday).days if d.held}


def told(monday):
    return [c.name for c in week_ahead(monday).told]


def test_a_plan_that_nothing_speaks_against_is_asked_for_as_it_is():
    monday = monday_of(coming=PLAN)
    found = week_ahead(monday)
    assert (held(monday), found.first, found.told, found.waits) == ({}, (), (), False)
    assert found.has_steady_test


def test_a_physician_comes_before_everything():
    monday = monday_of(diary=wrote(remarks="Chest pain on the hill."), coming=PLAN)
    page = ahead(week_ahead(monday))
    assert one_thing(monday).what.name in ("see a physician first", "emergency number or physician")
    assert "waits until a physician has looked" in page
    assert "4 x 4" not in page
    assert told(monday) == ["planned against the week"]
    assert not week_ahead(monday).has_steady_test


@pytest.mark.parametrize(
    ("athlete", "diary", "expected"),
    [
        (person(), wrote(health="ill"), {26: "held until well", 28: "held until well"}),
        (
            person(blocks=[{"start_on": "2026-11-18", "kind": "ill"}]),
            (),
            {26: "held until well", 28: "held until well"},
        ),
        (person(), wrote(health="pain"), {26: "held with pain", 28: "held with pain"}),
        (
            person(blocks=[{"start_on": "2026-11-10", "stop_on": "2026-11-20", "kind": "ill"}]),
            (),
            {26: "held newly back", 28: "held newly back"},
        ),
        (
            person(blocks=[{"start_on": "2026-11-27", "stop_on": "2026-11-30", "kind": "travel"}]),
            (),
            {28: "no test while away"},
        ),
        (person(heart_rate_medicine=True), (), {28: "no test under medicine"}),
        (person(birth_year=2010), (), {28: "no test under age"}),
    ],
    ids=["ill", "ill and no end", "pain", "newly back", "away on the day", "medicine", "under age"],
)
def test_what_the_week_speaks_against_is_held_back_and_told(athlete, diary, expected):
    monday = monday_of(athlete, diary=diary, coming=PLAN)
    assert held(monday) == expected
    assert told(monday)[0] == "planned against the week"
    # never in the letter as a thing to do
    page = ahead(week_ahead(monday))
    assert page.count(">waits<") == len(expected)
    names = {r.kind for r in reasons_of(monday, TriageSettings())}
    assert "planned against the week" in names


def test_the_way_back_ends_after_three_easy_days_of_the_plan():
    athlete = person(blocks=[{"start_on": "2026-11-10", "stop_on": "2026-11-22", "kind": "ill"}])
    easy = [(day, EASY) for day in (23, 24, 25)]
    monday = monday_of(athlete, coming=rows(*easy, (27, {"target": "long", "planned_min": 60})))
    assert held(monday) == {}
    early = monday_of(athlete, coming=rows(*easy[:2], (27, HARD)))
    assert week_ahead(early).days[-1].held[0]["n_missing"] == 1


def test_a_test_waits_for_a_long_session_unless_it_is_planned_short():
    monday = monday_of(longest_min=40, coming=rows((28, TEST)))
    assert held(monday) == {28: "no session as long"}
    short = monday_of(longest_min=40, coming=rows((28, TEST | {"planned_min": 45})))
    (day,) = week_ahead(short).days
    assert (day.held, day.sheet.name) == ((), "short test as on its sheet")


def test_what_was_planned_without_a_test_is_not_told_to_repeat_one():
    old = person(on="2026-06-01")
    assert one_thing(monday_of(old)).is_test
    monday = monday_of(old, coming=rows((24, EASY)))
    assert not one_thing(monday).is_test
    assert told(monday) == ["test due and not planned"]
    assert one_thing(monday_of(old, coming=PLAN)).is_test


def test_easy_days_keep_below_the_lower_end_where_easy_was_not_easy():
    fast = [session(date(2026, 11, day), bpm=165.0, target="easy", rpe=5) for day in (17, 19)]
    monday = monday_of(sessions=fast, coming=PLAN)
    assert one_thing(monday).what["hr_bpm"] == 146
    easy = week_ahead(monday).days[0].day
    assert easy.lead.high == 146
    assert "below 146" in next_thing(monday)


def test_a_setting_in_the_plans_words_that_the_series_does_not_ask_for_is_told():
    asked = NextTest(
        target_bpm=150.0, target_from=code("a"), settings=Settings(power_w=185.0), width_now_bpm=12.0,
        width_after_bpm=8.0, enough=False, rest_days=2, rest_from=code("b"), method="m", caveats=(),
    )  # fmt: skip
    plans = {
        words: rows((28, TEST | {"planned": words}))
        for words in ("183 W on the trainer", "185 watts again", "as ever")
    }
    found = {words: told(monday_of(coming=plan, next_test=asked)) for words, plan in plans.items()}
    assert found == {"183 W on the trainer": ["test setting differs"], "185 watts again": [], "as ever": []}
    due = next_due_test(monday_of(person(on="2026-06-01"), coming=plans["as ever"], next_test=asked))
    assert (due.planned_on, due.gain["now_bpm"], due.gain["after_bpm"]) == (date(2026, 11, 28), 12.0, 8.0)


def test_more_than_an_ordinary_week_stands_as_planned_and_the_coach_knows_the_sum():
    monday = monday_of(coming=rows((24, EASY), (26, EASY)))
    assert week_ahead(monday).sums.minutes == 100


def test_an_event_tomorrow_stands_in_the_week_and_keeps_tests_away():
    athlete = person(on="2026-06-01", events=[{"on": "2026-11-24", "name": "Hill race"}])
    monday = monday_of(athlete, coming=rows((23, HARD)))
    assert "Hill race" in ahead(week_ahead(monday))
    names = [c.name for c in week_ahead(monday).sums.notes]
    assert names == ["hard shortly before an event", "race within three weeks"]
    assert next_due_test(monday).earliest_on == date(2026, 11, 28)


@pytest.mark.parametrize(
    ("day", "all_out", "clear"),
    [(20, True, 20), (23, True, 33), (26, False, 26), (27, False, 33), (32, False, 33), (33, True, 33)],
)
def test_tests_keep_their_distance_from_an_event(day, all_out, clear):
    event = Event(on=date(2026, 11, 29), name="Race")
    asked = date.fromordinal(date(2026, 11, 1).toordinal() + day - 1)
    expected = date.fromordinal(date(2026, 11, 1).toordinal() + clear - 1)
    assert clear_of_events(asked, [event], all_out=all_out) == expected


@pytest.mark.parametrize(
    ("athlete", "why"),
    [
        (person(first=None, second=None), "test for what is not known"),
        (person(on="2026-06-01"), "test for its age"),
        (person(on="2026-10-10"), "test for its age"),
        (
            person(blocks=[{"start_on": "2026-11-05", "stop_on": "2026-11-09", "kind": "ill"}]),
            "test of what was not checked",
        ),
    ],
    ids=["none", "old", "old within three weeks", "ill since"],
)
def test_why_a_test_is_due(athlete, why):
    assert next_due_test(monday_of(athlete)).why.name == why


@pytest.mark.parametrize("athlete", [person(), person(on="2026-06-01", heart_rate_medicine=True)])
def test_no_test_is_due_where_none_is_needed_or_heart_rate_tells_nothing(athlete):
    assert next_due_test(monday_of(athlete)) is None


def test_a_test_that_may_not_be_asked_waits():
    due = next_due_test(monday_of(person(on="2026-06-01"), diary=wrote(health="ill")))
    assert due.waits.name == "no test while ill"


def test_nothing_planned_leaves_the_block_out():
    assert ahead(week_ahead(monday_of())) == ""


def test_two_tests_against_each_other_are_told_once_and_what_to_repeat():
    asked = NextTest(
        target_bpm=150.0, target_from=code("aim at the contradiction"), settings=None, width_now_bpm=40.0,
        width_after_bpm=20.0, enough=False, rest_days=2, rest_from=code("b"), method="m", caveats=(),
    )  # fmt: skip

    def reasons(**changes):
        monday = monday_of(next_test=asked, **changes)
        return {r.kind: r.code for r in reasons_of(monday, TriageSettings())}

    nothing_accepted = person().model_copy(update={"thresholds": ()})
    found = reasons(athlete=nothing_accepted)
    assert way_out(found["tests against each other"]).endswith("repeat the test near 150 bpm")
    assert "test due" not in found
    assert "tests against each other" not in reasons(athlete=nothing_accepted, diary=wrote(health="ill"))
    assert "tests against each other" in reasons()
