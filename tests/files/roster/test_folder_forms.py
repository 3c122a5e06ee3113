"""What people type becomes records; what does not fit is refused in words."""

from datetime import date

import pytest

from coachlib.files.roster.forms import fill, typed_values
from coachlib.records.athlete import Athlete, Block, Reference, Threshold
from coachlib.records.decisions import Decisions, Exclusion, Stage, Window
from coachlib.records.roster import RosterSettings

SHA = "0" * 64


def problems_of(model, typed, **given):
    return list(fill(model, typed, given=given).problems)


def test_typed_units_become_the_records_units():
    typed = {"fit_sha256": SHA, "stage": [{"start_s": 0, "stop_s": 60, "speed_kmh": 10.8, "grade_pct": 6.0}]}
    stage = fill(Decisions, typed).record.stages[0]
    assert (stage.speed_mps, stage.grade) == pytest.approx((3.0, 0.06))


def test_days_apart_are_typed_from_and_to():
    typed = {"name": "Mira", "block": [{"from": date(2026, 10, 12), "to": date(2026, 10, 20), "kind": "ill"}]}
    athlete = fill(Athlete, typed, given={"slug": "mira"}).record
    assert athlete.blocks == (Block(start_on=date(2026, 10, 12), stop_on=date(2026, 10, 20), kind="ill"),)


def test_weeks_to_compare_with_are_typed_with_a_reason():
    typed = {
        "name": "Mira",
        "reference": [
            {"from": date(2026, 10, 5), "to": date(2026, 11, 1)},
            {"from": "2026-11-09", "because": "new strap"},
        ],
    }
    athlete = fill(Athlete, typed, given={"slug": "mira"}).record
    assert athlete.references == (
        Reference(start_on=date(2026, 10, 5), stop_on=date(2026, 11, 1), because="moved"),
        Reference(start_on=date(2026, 11, 9), because="new strap"),
    )


def test_a_reference_that_cannot_be_is_refused_in_words():
    typed = {
        "name": "Mira",
        "reference": [
            {"from": "2026-10-05", "to": "soon", "because": "new socks"},
            {"from": "2026-10-05", "to": "2026-09-05"},
        ],
    }
    found = problems_of(Athlete, typed, slug="mira")
    assert found[:2] == [
        'key `to` of reference 1 is "soon"; allowed: a day such as 2026-11-01, from 1990 to 2100',
        'key `because` of reference 1 is "new socks"; allowed: "moved", "new watch", "new strap", '
        '"new shoes", "new power meter", "new foot pod", "compare on" or "first weeks"',
    ]
    assert (
        found[2] == "reference 2: `to` is 2026-09-05 and `from` is 2026-10-05; `to` may not lie before `from`"
    )


def test_what_is_typed_comes_back_as_it_was_typed():
    typed = {
        "fit_sha256": SHA,
        "kind": "drift test",
        "window": [{"start_s": 1800.0, "stop_s": 5400.0, "purpose": "steady"}],
        "exclusion": [
            {
                "start_s": 2412.0,
                "stop_s": 2440.0,
                "quantity": "hr_bpm",
                "reason": "talking",
                "found_by": "coach",
            }
        ],
        "stage": [{"start_s": 900.0, "stop_s": 5400.0, "speed_kmh": 10.1, "grade_pct": 5.7}],
    }
    assert typed_values(fill(Decisions, typed).record) == typed


@pytest.mark.parametrize("tenths", range(1, 200, 7))
def test_tenths_of_a_speed_survive_the_units(tenths):
    stage = Stage(start_s=0, stop_s=1, speed_mps=tenths / 36)
    assert typed_values(stage)["speed_kmh"] == tenths / 10


def test_whole_beats_are_written_whole():
    threshold = Threshold(which="first", on=date(2026, 10, 5), hr_bpm=158.0, hr_low_bpm=152.5)
    assert typed_values(threshold) == {
        "which": "first",
        "on": date(2026, 10, 5),
        "hr_bpm": 158,
        "hr_low_bpm": 152.5,
    }


def test_a_word_that_is_not_known_is_told_with_those_that_are():
    assert problems_of(Athlete, {"name": "Mira", "zones": "three"}, slug="mira") == [
        'key `zones` is "three"; allowed: "two thresholds", "heart-rate reserve" or "share of maximum"'
    ]


def test_a_number_outside_its_limits_is_told_in_the_typed_unit():
    typed = {"fit_sha256": SHA, "stage": [{"start_s": 0, "stop_s": 9, "speed_kmh": 120.0}]}
    assert problems_of(Decisions, typed) == [
        "key `speed_kmh` of stage 1 is 120.0; allowed: a number from 0 to 108 km/h"
    ]


@pytest.mark.parametrize(
    ("key", "hint"),
    [
        ("hr_maximum_bpm", "did you mean `hr_max_bpm`?"),
        ("speed_mps", "known are `name`, `birth_year`"),
        ("thresholds", "did you mean `threshold`?"),
    ],
)
def test_an_unknown_key_is_told_with_the_nearest(key, hint):
    (problem,) = problems_of(Athlete, {"name": "Mira", key: 1}, slug="mira")
    assert problem.startswith(f"key `{key}` is not known; {hint}")


def test_the_folder_says_who_it_is_not_the_file():
    (problem,) = problems_of(Athlete, {"name": "Mira", "slug": "tom"}, slug="mira")
    assert problem.startswith("key `slug` is not known")


def test_every_problem_is_told_at_once():
    typed = {
        "birth_year": "long ago",
        "heart_rate_medicine": "perhaps",
        "sports": "running",
        "threshold": [
            {"which": "first", "on": date(2026, 10, 5), "hr_bpm": 158},
            {"which": "third", "hr_bpm": 300, "on": "5.10.2026", "power": 200},
        ],
    }
    assert problems_of(Athlete, typed, slug="mira") == [
        "key `power` of threshold 2 is not known; did you mean `power_w`?",
        "key `name` is missing; needed: a name of at least one letter",
        'key `birth_year` is "long ago"; allowed: a year from 1910 to 2030',
        'key `heart_rate_medicine` is "perhaps"; allowed: true or false',
        'key `sports` is "running"; allowed: a list of texts such as ["running", "cycling"]',
        'key `which` of threshold 2 is "third"; allowed: "first" or "second"',
        'key `on` of threshold 2 is "5.10.2026"; allowed: a day such as 2026-10-05, from 1990 to 2100',
        "key `hr_bpm` of threshold 2 is 300; allowed: a number from 30 to 250 beats per minute",
    ]


def test_two_keys_that_contradict_each_other_are_told_with_their_place():
    typed = {"fit_sha256": SHA, "window": [{"start_s": 0, "stop_s": 9}, {"start_s": 9, "stop_s": 9}]}
    assert problems_of(Decisions, typed) == [
        "window 2: `stop_s` is 9 and `start_s` is 9; the stop must lie after the start"
    ]


@pytest.mark.parametrize("value", [3, {"start_s": 0}, [1]])
def test_tables_must_be_tables(value):
    (problem,) = problems_of(Decisions, {"fit_sha256": SHA, "window": value})
    assert problem.endswith("write each one under [[window]]")


def test_nothing_empty_is_written():
    assert typed_values(Window(start_s=0, stop_s=9)) == {"start_s": 0.0, "stop_s": 9.0, "purpose": "steady"}
    assert "reason" not in typed_values(Exclusion(start_s=0, stop_s=9))


def test_a_table_of_its_own_is_filled_and_refused_by_its_keys():
    typed = {"name": "Club", "call_sheet": {"silent_days": 10, "order": ["no data", "test due"]}}
    filled = fill(RosterSettings, typed).record.call_sheet
    assert (filled.silent_days, filled.order) == (10, ("no data", "test due"))
    wrong = {
        "silent_days": 90,
        "silent": 1,
        "order": ["no data", "weather"],
        "talk_to": ["no data", "no data"],
    }
    assert [
        p.partition(", each once")[0] for p in problems_of(RosterSettings, typed | {"call_sheet": wrong})
    ] == [
        "key `silent` of [call_sheet] is not known; did you mean `silent_days`?",
        "key `talk_to` of [call_sheet] is a list; allowed: a list of the call sheet's reasons",
        "key `silent_days` of [call_sheet] is 90; allowed: a whole number from 1 to 60 days",
    ]
    assert problems_of(RosterSettings, typed | {"call_sheet": 7}) == [
        "key `call_sheet` is 7; write what it holds under [call_sheet]"
    ]
