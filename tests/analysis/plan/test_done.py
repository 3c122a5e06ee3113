"""Planned against done: in kind, length and domain; what was left out is told without blame, once the week is over."""

from datetime import date

import pytest
from planning import MONDAY, SETTINGS, WEEK, monday_of, person, session

from coachlib.analysis.plan.done import planned_against_done
from coachlib.analysis.week.week import analyse_week
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow
from coachlib.report.words.catalogue import whole

TUESDAY, THURSDAY = date(2026, 11, 17), date(2026, 11, 19)


def week(*sessions, diary=(), athlete=None, as_of=None):
    return analyse_week(WEEK, sessions, athlete or person(), settings=SETTINGS, diary=diary, as_of=as_of)


def differs(found):
    return [c.name for d in planned_against_done(found).days for c in d.differences]


@pytest.mark.parametrize(
    ("cells", "bpm", "minutes", "names"),
    [
        ({"target": "easy", "planned_min": 60}, 135, 60, []),
        ({"target": "easy", "planned_min": 60}, 165, 60, ["harder than meant"]),
        ({"target": "easy", "rpe": 8}, 135, 60, ["harder than meant"]),
        ({"planned": "easy", "talk": "not"}, 135, 60, ["harder than meant"]),
        ({"target": "short hard"}, 135, 60, ["easier than meant"]),
        ({"planned": "4 x 4 min"}, 135, 60, ["easier than meant"]),
        ({"target": "easy", "planned_min": 40}, 135, 60, ["longer than planned"]),
        ({"target": "easy", "planned_min": 90}, 135, 60, ["shorter than planned"]),
        ({"target": "easy", "planned_min": 55}, 135, 60, []),
        ({"target": "rest"}, 135, 30, ["done instead of rest"]),
        # the target goes before the kind before the words
        ({"target": "easy", "kind": "intervals", "planned": "race"}, 135, 60, []),
        ({"kind": "easy", "planned": "4 x 4"}, 135, 60, []),
    ],
)
def test_where_a_session_differs_from_its_plan(cells, bpm, minutes, names):
    assert differs(week(session(TUESDAY, bpm=bpm, minutes=minutes, **cells))) == names


def test_what_the_coach_decided_it_was_is_another_kind_than_planned():
    decided = Decisions(fit_sha256="0" * 64, kind="race")
    found = week(session(TUESDAY, decisions=decided, target="easy"))
    assert differs(found)[0] == "another kind than planned"


def test_a_planned_day_is_missed_when_the_week_is_over_and_not_before():
    row = DiaryRow(on=THURSDAY, planned="easy 50")
    assert differs(week(diary=[row])) == ["planned and not done"]
    assert differs(week(diary=[row], as_of=date(2026, 11, 18))) == []


def test_what_was_done_without_a_recording_is_not_missed():
    told = [
        DiaryRow(on=TUESDAY, planned="strength", done_min=40, rpe=4),
        # a rating alone says that it was done, for how long is not known
        DiaryRow(on=THURSDAY, planned="round", rpe=3),
        DiaryRow(on=date(2026, 11, 20), target="rest"),
    ]
    found = week(diary=told)
    assert differs(found) == []
    assert found.moving_s == 40 * 60
    assert found.load.rpe_load is None
    assert [c.name for c in week(session(MONDAY, rpe=2), diary=told[1:2]).not_told][
        -1
    ] == "load by rating lacks minutes"


def test_load_by_rating_counts_what_was_not_recorded():
    # Foster et al. (2001): rating times minutes
    found = week(session(TUESDAY, minutes=60, rpe=3), diary=[DiaryRow(on=THURSDAY, done_min=40, rpe=5)])
    assert found.load.rpe_load == pytest.approx(60 * 3 + 40 * 5, rel=0.01)
    assert (found.n_sessions, found.load.rpe_missing) == (2, 0)


def test_a_day_left_out_while_ill_is_told_as_that():
    row = DiaryRow(on=THURSDAY, planned="easy 50", health="ill")
    (day,) = planned_against_done(week(diary=[row])).days
    assert whole(day.differences[0]) == "Left out, rightly, while unwell."


def test_two_rows_and_two_recordings_of_a_day_that_nothing_tells_apart_are_not_called_missed():
    one, other = (session(TUESDAY, row=False, minutes=m) for m in (30, 50))
    told = [DiaryRow(on=TUESDAY, planned="easy 30"), DiaryRow(on=TUESDAY, planned="4 x 4")]
    assert differs(week(one, other, diary=told)) == []
    assert differs(week(one, diary=told)) == ["planned and not done"]


def test_the_week_in_one_sentence_whatever_the_order_of_the_rows():
    told = [
        DiaryRow(on=date(2026, 11, 20), planned="easy 40"),
        DiaryRow(on=date(2026, 11, 18), planned="easy 30"),
    ]
    found = week(
        session(THURSDAY, bpm=165, target="easy"),
        session(TUESDAY, target="easy"),
        session(date(2026, 11, 21), row=False),
        diary=told,
    )
    said = whole(planned_against_done(found).says)
    assert said == (
        "One of four as planned; Wednesday and Friday were not done; Thursday was harder than meant; Saturday came on top."
    )


def test_nothing_planned_nothing_said():
    assert planned_against_done(week(session(TUESDAY, rpe=3))).says is None
    assert planned_against_done(monday_of().week).says is None
