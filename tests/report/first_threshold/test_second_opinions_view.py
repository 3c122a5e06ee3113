"""Other signs in words: which agree, which do not, what is left out."""

from datetime import date

import pytest

from coachlib.analysis.first_threshold.agreement import Held
from coachlib.analysis.first_threshold.second_opinions import BEATS, LACTATE, RAMP, TALK_TEST, Opinion
from coachlib.measures.first_threshold.alpha1_threshold import Alpha1Crossing, SteadyAlpha1
from coachlib.report.first_threshold.second_opinions_view import agreement, other_opinions

FIRST, SECOND = date(2026, 10, 3), date(2026, 11, 7)


def beats(*, is_doubtful=False):
    return SteadyAlpha1(
        alpha1=0.93, se=0.02, low=0.76, high=1.1, supports="below", n_windows=10,
        flagged_frac=0.04 if is_doubtful else 0.0, is_doubtful=is_doubtful, used_s=1200.0, method="", caveats=(),
    )  # fmt: skip


RAMPED = Alpha1Crossing(
    hr_bpm=151.0, se_bpm=3.3, hr_low_bpm=129.0, hr_high_bpm=173.0, n_windows=300, flagged_frac=0.0,
    is_doubtful=False, used_s=1600.0, method="", caveats=(),
)  # fmt: skip


def held(source, verdict, *, on=FIRST, says="below", reading=None):
    readings = {TALK_TEST: "comfortable", BEATS: beats(), RAMP: RAMPED, LACTATE: (None, None, None)}
    opinion = Opinion(
        source=source, on=on, sha256="", hr_bpm=150.0, says=says, sd_bpm=10.0,
        reading=reading or readings[source],
    )  # fmt: skip
    return Held(opinion=opinion, verdict=verdict)


@pytest.mark.parametrize(
    ("signs", "said"),
    [
        ([(TALK_TEST, "agrees")], "Another sign agrees: the talk test."),
        (
            [(TALK_TEST, "agrees"), (RAMP, "agrees")],
            "Two other signs agree: the talk test and the ramp with beat intervals.",
        ),
        ([(BEATS, "disagrees")], "Beat intervals disagree; see “Other opinions”."),
        (
            [(TALK_TEST, "agrees"), (LACTATE, "disagrees")],
            "Another sign agrees: the talk test. Lactate steps disagree; see “Other opinions”.",
        ),
        ([(TALK_TEST, "cannot tell"), (BEATS, "cannot tell")], ""),
    ],
)
def test_the_sentence_of_the_finding(signs, said):
    assert agreement([held(*sign) for sign in signs]) == said


def test_a_sign_counts_once_and_days_are_told_where_there_are_several():
    twice = [held(TALK_TEST, "agrees"), held(TALK_TEST, "agrees", on=SECOND)]
    assert agreement(twice) == "Another sign agrees: the talk test."
    late = [held(TALK_TEST, "agrees"), held(BEATS, "disagrees", on=SECOND)]
    assert agreement(late).endswith("Beat intervals disagree (7 Nov); see “Other opinions”.")
    divided = [held(TALK_TEST, "agrees"), held(TALK_TEST, "disagrees", on=SECOND)]
    assert agreement(divided) == (
        "The talk test is divided: for it on 3 Oct, against it on 7 Nov; see “Other opinions”."
    )


def shown(signs, **options):
    """The section as it is read: a gap that keeps a number and its unit together is a gap."""
    return other_opinions(signs, **options).replace("\N{NO-BREAK SPACE}", " ")


def test_one_row_a_sign_and_only_the_signs_that_are_there_are_explained():
    page = shown([held(TALK_TEST, "agrees"), held(RAMP, "cannot tell", says="near")])
    assert page.count("<tr>") == 3
    assert "talk test, 3 Oct</th><td>150 bpm</td><td>comfortable: below</td><td>agrees" in page
    assert "<td>150 bpm (134 to 166)</td><td>alpha1 falls through 0.75: near</td><td>cannot tell" in page
    assert "Common practice" in page
    assert "Lactate" not in page
    assert "None of these moves the estimate" in page


def test_doubtful_beats_stand_outside_the_table_and_count_for_nothing():
    doubtful = held(BEATS, "agrees", reading=beats(is_doubtful=True))
    assert agreement([doubtful]) == ""
    page = shown([doubtful])
    assert "<table" not in page
    assert "In doubt, 4 % of beats look like artefacts: beat intervals" in page
    assert "alpha1 0.93 (0.76 to 1.10): below" in page


def test_a_sign_that_says_nothing_says_why_and_no_sign_leaves_the_section_out():
    page = shown((), silent=("2026-10-03_run: <7 %> of these beats look like artefacts.",))
    assert "No opinion: 2026-10-03_run: &lt;7 %&gt; of these beats" in page
    assert "None of these" not in page
    assert other_opinions(()) == ""


def test_lactate_names_how_many_methods_and_beside_one_test_no_day_is_needed():
    page = shown([held(LACTATE, "agrees", says="near")], of_one_test=True)
    assert "lactate steps</th>" in page
    assert "three methods: near" in page
    assert "None of these changes the result of the test" in page
