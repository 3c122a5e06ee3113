from datetime import date

from season_parts import anna

from coachlib.analysis.roster.check_references import check_references
from coachlib.records.athlete import Block, Reference
from coachlib.report.words.catalogue import sentence

LATEST = date(2026, 11, 22)


def said(*references, **fields):
    found = check_references(anna(references=references, **fields), latest_on=LATEST)
    return [(f.severity, sentence(f.code)) for f in found]


def test_weeks_that_can_be_compared_with_are_fine():
    shoes = Reference(start_on=date(2026, 3, 2), because="new shoes")
    assert said(Reference(start_on=date(2026, 9, 28), stop_on=date(2026, 11, 1)), shoes) == []


def test_a_reference_ahead_is_told_and_one_long_ago_is_well():
    assert said(Reference(start_on=date(2026, 12, 7), because="new strap")) == [
        (
            "advice",
            "the reference weeks from 2026-12-07 lie after the latest recording; nothing is compared with them yet",
        )
    ]
    assert said(Reference(start_on=date(2026, 6, 1))) == []


def test_a_reference_written_twice():
    twice = Reference(start_on=date(2026, 10, 5))
    assert said(twice, twice) == [("problem", "two reference weeks from 2026-10-05 are both “moved”")]


def test_reference_weeks_inside_a_block_hold_nothing():
    block = Block(start_on=date(2026, 10, 1), stop_on=date(2026, 11, 30), kind="altitude")
    ((severity, words),) = said(Reference(start_on=date(2026, 10, 5)), blocks=(block,))
    assert severity == "problem"
    assert "is set apart (altitude), so no reading is left to compare with" in words
    partly = Block(start_on=date(2026, 10, 1), stop_on=date(2026, 10, 20), kind="altitude")
    assert said(Reference(start_on=date(2026, 10, 5)), blocks=(partly,)) == []
