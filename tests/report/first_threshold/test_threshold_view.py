"""What the page of a series says, and what it must not say where the tests hold one end only."""

from datetime import date

import pytest

from coachlib.analysis.first_threshold.accepting import proposal
from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.series import analyse_series
from coachlib.measures.common.codes import code
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.diary import DiaryRow
from coachlib.report.first_threshold import series_tests_view
from coachlib.report.first_threshold import threshold_view as view
from coachlib.report.first_threshold.accepting_view import acceptance
from coachlib.report.first_threshold.next_test_view import next_test
from coachlib.report.first_threshold.protocol_sheet import protocol_of, protocol_sheet
from coachlib.report.words.first_threshold import estimated

ANNA = Athlete(slug="anna", name="Anna", hr_max_bpm=190)


def series(*tests, **options):
    members = [
        SeriesTest(
            on=date(2026, 10, 3 + 7 * i), first_half_bpm=hr, drift_pct=drift, se_pct=0.5, minutes=60, **more
        )
        for i, (hr, drift, more) in enumerate(tests)
    ]
    return analyse_series(members, ANNA, **options)


# common practice, no source
PRACTICE = [(143, 0.0, {}), (152, 0.0, {}), (160, 1.25, {}), (163, 3.07, {})]


def test_a_series_that_never_reached_the_criterion_gets_a_lower_end_and_no_best_guess():
    found = series(*PRACTICE)
    assert estimated(found.threshold) in ("at least 161 bpm", "at least 162 bpm", "at least 163 bpm")
    assert 164 <= found.threshold.hr_bpm <= 174
    page = f"{view.finding(found, athlete='Anna', standing=None)}{view.numbers(found)}"
    assert "Best guess" not in page
    assert f"{found.threshold.hr_bpm:.0f} bpm" not in page
    assert f"{found.threshold.hr_high_bpm:.0f} bpm" not in page, "no upper end from what is usual"


def test_a_series_above_the_criterion_gets_an_upper_end():
    found = series((165, 7.0, {}), (170, 9.5, {}))
    assert estimated(found.threshold).startswith("at most ")
    assert "95 % sure that it is below" in view.numbers(found).replace("\u00a0", " ")


def test_a_bracketed_series_gets_a_value_with_its_interval():
    found = series((148, 1.0, {}), (156, 3.4, {}), (163, 7.1, {}))
    low, high = round(found.threshold.hr_low_bpm), round(found.threshold.hr_high_bpm)
    assert f"({low} to {high})" in view.finding(found, athlete="Anna", standing=None)


def test_a_contradiction_stands_first_and_gives_no_best_guess():
    told = [DiaryRow(on=date(2026, 10, 3), sleep_h=h) for h in (4, 8)]
    found = series((150, 1.0, {"conditions": told[0]}), (150, 8.0, {"conditions": told[1]}))
    page = f"{view.finding(found, athlete='Anna', standing=None)}{view.numbers(found)}".replace("\u00a0", " ")
    assert "Two tests contradict each other: 8.0 % at 150 bpm and 1.0 % at 150 bpm" in page
    assert "repeat at this setting. They differed in sleep." in page
    assert "Best guess" not in page
    assert "drift is" not in page
    assert "there is nothing to accept yet" in acceptance(proposal(found, ANNA, on=date(2026, 11, 1)))


def test_a_bound_is_offered_as_a_bound_and_doubts_stand_before_it():
    hard = DiaryRow(on=date(2026, 10, 10), talk="comfortable")
    found = series((165, 7.0, {}), (170, 9.5, {"conditions": hard}))
    page = acceptance(proposal(found, ANNA, on=date(2026, 11, 1))).replace("\u00a0", " ")
    assert "only: it can be accepted as “at most”, from which no zones follow" in page
    assert "the athlete could talk comfortably at 170 bpm, which speaks against it" in page.replace(
        "On 10 Oct ", ""
    )


def test_where_no_test_is_asked_for_the_section_says_what_instead():
    found = series((148, 1.0, {}))
    page = next_test(found, against=(code("no test while ill"),))
    assert "No test for now" in page
    assert "Rest now" in page
    assert "bpm" not in page
    sheet = protocol_sheet(
        protocol_of(found, athlete="Anna", coach="", against=(code("no test under medicine"),))
    )
    assert "Ask a physician first" in sheet
    assert "say some sentences aloud" in sheet
    assert "bpm" not in sheet


@pytest.mark.parametrize(
    ("off_bpm", "sentence"),
    [(0.6, "these tests say the same"), (12, "lies lower than that with a probability of more than 9")],
)
def test_the_accepted_value_is_held_against_the_tests(off_bpm, sentence):
    found = series((148, 1.0, {}), (156, 3.4, {}), (163, 7.1, {}))
    standing = Threshold(which="first", on=date(2026, 9, 1), hr_bpm=found.threshold.hr_bpm + off_bpm)
    assert sentence in view.finding(found, athlete="Anna", standing=standing)


@pytest.mark.parametrize("bounds", [PRACTICE, [(165, 7.0, {}), (170, 9.5, {})]])
def test_the_next_test_calls_nothing_a_best_guess_where_one_end_is_open(bounds):
    assert "best guess" not in next_test(series(*bounds))


def test_heat_is_shown_as_measured_and_as_it_counts():
    found = series((152, 2.0, {"temperature_c": 21.0}), (160, 5.6, {"temperature_c": 26.0}))
    page = series_tests_view.series_tests(found, left_out=()).replace("\u00a0", " ")
    assert "156.0 bpm, 3.6 % at 21 °C" in page
    assert "0.8 bpm and 0.4 %" in view.chart(found).replace("\u00a0", " ")


def test_what_differed_stands_first_with_the_literature_and_people_s_words_are_escaped():
    told = [DiaryRow(on=date(2026, 10, 3), equipment=shoe, sleep_h=7) for shoe in ("blue", "<b>red</b>")]
    page = series_tests_view.conditions(
        series((150, 1, {"conditions": told[0]}), (158, 3, {"conditions": told[1]}))
    )
    assert page.index("footwear or machine") < page.index("sleep")
    assert "≠ footwear or machine" in page
    assert "≠ sleep" not in page
    assert "<b>red" not in page
