"""What of a series may be accepted, as what, and what speaks against it."""

from dataclasses import replace
from datetime import date

import pytest

from coachlib.analysis.first_threshold.accepting import chosen_by_coach, proposal
from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.series import analyse_series
from coachlib.errors import UnfitTest
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.diary import DiaryRow

ON = date(2026, 11, 1)
ANNA = Athlete(slug="anna", name="Anna", hr_max_bpm=190, hr_max_from="measured")


def made(*rows, **changes):
    return [
        SeriesTest(
            **{
                "on": date(2026, 10, 3 + 7 * i),
                "first_half_bpm": hr,
                "drift_pct": p,
                "se_pct": 0.5,
                "minutes": 60.0,
            }
            | changes
        )
        for i, (hr, p) in enumerate(rows)
    ]


BRACKETED = ((148, 1.0), (156, 3.4), (163, 7.1))


def proposed(members, athlete=ANNA):
    return proposal(analyse_series(members, athlete), athlete, on=ON)


def doubts(members, athlete=ANNA):
    return [d.name for d in proposed(members, athlete).doubts]


def with_second(**changes):
    second = {"which": "second", "on": date(2026, 9, 1), "hr_bpm": 178, "hr_low_bpm": 174, "hr_high_bpm": 182}
    return ANNA.model_copy(update={"thresholds": (Threshold(**(second | changes)),)})


def test_a_bracketed_series_is_a_value():
    found = proposed(made(*BRACKETED))
    assert not found.is_bound
    assert found.threshold.hr_low_bpm < found.threshold.hr_bpm < found.threshold.hr_high_bpm
    assert (found.why, found.doubts, found.notes) == (None, (), ())


@pytest.mark.parametrize(
    ("rows", "why", "open_end"),
    [
        (((165, 9.0), (170, 9.5)), "accept as at most", "hr_low_bpm"),
        (((140, 0.5),), "accept as at least", "hr_high_bpm"),
    ],
)
def test_one_end_is_a_bound_and_no_other_number_can_be_chosen_from_it(rows, why, open_end):
    found = proposed(made(*rows))
    assert (found.is_bound, found.why.name) == (True, why)
    assert getattr(found.threshold, open_end) is None
    assert found.threshold.speed_mps is None
    assert chosen_by_coach(found, hr_bpm=found.threshold.hr_bpm, on=ON).is_bound
    with pytest.raises(UnfitTest, match="the tests hold one end only"):
        chosen_by_coach(found, hr_bpm=found.threshold.hr_bpm - 1, on=ON)


def test_of_two_tests_that_contradict_each_other_nothing_can_be_accepted():
    found = proposed(made((150, 8.0), (150, 1.0)))
    assert (found.threshold, found.why.name) == (None, "accept nothing yet")
    with pytest.raises(UnfitTest, match="contradict each other"):
        chosen_by_coach(found, hr_bpm=150.0, on=ON)


def test_a_chosen_value_stays_inside_and_loses_speed_and_power():
    members = made(*BRACKETED, power_w=None)
    members = [replace(t, power_w=150.0 + 10 * i) for i, t in enumerate(members)]
    found = proposed(members)
    assert found.threshold.power_w is not None
    chosen = chosen_by_coach(found, hr_bpm=found.threshold.hr_bpm + 1, on=ON)
    assert chosen.threshold.power_w is None
    assert [n.name for n in chosen.notes] == ["value chosen by the coach"]
    with pytest.raises(UnfitTest, match="lies outside what the tests allow"):
        chosen_by_coach(found, hr_bpm=120.0, on=ON)


def test_overlap_and_a_narrow_band_are_told():
    assert doubts(made(*BRACKETED), with_second()) == []
    assert doubts(made(*BRACKETED), with_second(hr_bpm=175, hr_low_bpm=160)) == ["thresholds overlap"]
    narrow = doubts(made(*BRACKETED), with_second(hr_bpm=164, hr_low_bpm=None, hr_high_bpm=None))
    assert "narrow between thresholds" in narrow


def test_a_value_near_the_maximum_is_told():
    low_top = ANNA.model_copy(update={"hr_max_bpm": 172.0})
    assert "first threshold unusually high" in doubts(made(*BRACKETED), low_top)
    told = ANNA.model_copy(update={"hr_max_bpm": 172.0, "heart_rate_medicine": True})
    assert doubts(made(*BRACKETED), told) == ["threshold under medicine"]


def test_minutes_above_the_second_threshold_within_a_steady_test_are_told():
    members = made(*BRACKETED)
    members[2] = replace(members[2], above_second_s=600.0)
    members[0] = replace(members[0], above_second_s=20.0)
    (said,) = proposed(members).doubts
    assert (said.name, said["on"], said["minutes"]) == (
        "minutes above the second threshold",
        members[2].on,
        10.0,
    )


@pytest.mark.parametrize(
    ("place", "talk", "speaks"),
    [(0, "not", True), (2, "comfortable", True), (0, "comfortable", False), (1, None, False)],
)
def test_a_talk_answer_on_the_other_side_speaks_against_it(place, talk, speaks):
    members = made(*BRACKETED)
    members[place] = replace(members[place], conditions=DiaryRow(on=members[place].on, talk=talk))
    assert doubts(members) == (["talk speaks against it"] if speaks else [])


def test_what_counted_is_noted():
    members = [*made(*BRACKETED), replace(made((157, 3.9))[0], typed=True, on=date(2026, 10, 24))]
    assert [n.name for n in proposed(members).notes] == ["typed tests counted"]
