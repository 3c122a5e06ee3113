"""Thresholds that cannot stand together, or only just."""

from datetime import date

import pytest

from coachlib.analysis.first_threshold.consistency import threshold_doubts
from coachlib.records.athlete import Threshold
from coachlib.report.words.catalogue import whole


def threshold(which, bpm, low=None, high=None):
    return Threshold(which=which, on=date(2026, 11, 1), hr_bpm=bpm, hr_low_bpm=low, hr_high_bpm=high)


@pytest.mark.parametrize(
    ("first", "second", "maximum", "names"),
    [
        ((150, 146, 154), (170, 160, 180), 190, []),
        ((150, 146, 165), (170, 160, 180), 190, ["thresholds overlap"]),
        ((150, 146, 160), (170, 160, 180), 190, ["thresholds overlap"]),  # they touch
        ((150, None, None), (155.5, None, None), 190, ["narrow between thresholds"]),
        ((150, None, None), (156, None, None), 190, []),  # six beats
        ((160, 150, 170), (158, 150, 170), 190, ["not above the first"]),
        ((160, 150, 170), (160, 150, 170), 190, ["not above the first"]),
        ((168, 166, 170), (180, 175, 185), 190, ["first threshold unusually high"]),
        ((168, 166, 170), (180, 175, 185), None, []),
        ((168, 166, 170), None, 190, ["first threshold unusually high"]),
        (None, (180, 175, 185), 190, []),
    ],
)
def test_what_speaks_against_two_thresholds(first, second, maximum, names):
    given = [
        threshold(which, *value) if value else None for which, value in (("first", first), ("second", second))
    ]
    found = threshold_doubts(*given, hr_max_bpm=maximum)
    assert [doubt.name for doubt in found] == names
    assert all(whole(doubt).endswith(".") for doubt in found)


def test_the_sentence_tells_the_numbers():
    (found,) = threshold_doubts(threshold("first", 168), threshold("second", 180), hr_max_bpm=190)
    assert "at 88 % of the maximum, where usually the second lies" in whole(found)
