"""The device's own totals, and files whose records do not hold what they say."""

import pytest
from fitbytes import RUNNING, START, FitBytes
from recordings import recording
from said import said

from coachlib.files.fit.reading import read_fit, read_fit_bytes
from coachlib.records.activity import Totals


def summed(seconds, *, elapsed_s, timer_s=None, distance_m=None, metres=3.0, pause=None):
    """A run of one record a second, and a session with these totals."""
    fit = FitBytes().file_id()
    for s in seconds:
        fit.record(START + s, 140, (5, "uint32", round(100 * metres * s)))
    if pause:
        fit.timer(START + pause[0], 4).timer(START + pause[1], 0)
    fit.message(
        18,
        (2, "uint32", START),
        (5, "enum", RUNNING),
        (7, "uint32", round(1000 * elapsed_s)),
        (8, "uint32", None if timer_s is None else round(1000 * timer_s)),
        (9, "uint32", None if distance_m is None else round(100 * distance_m)),
        (16, "uint8", 141),
        (17, "uint8", None),
        (22, "uint16", 0),
    )
    return read_fit_bytes(fit.bytes())


def test_totals_as_written():
    activity = summed(range(600), elapsed_s=599.5, timer_s=599, distance_m=1797)
    assert activity.totals == Totals(elapsed_s=599.5, timer_s=599.0, distance_m=1797.0, hr_mean_bpm=141.0)
    assert activity.caveats == ()


def test_a_damaged_file_says_what_is_missing():
    """As in a real recording: 3,558 s and 11.3 km summed up, five minutes and 0.9 km of records."""
    activity = summed(range(300), elapsed_s=3558, timer_s=3558, distance_m=11_300)
    assert said(activity) == (
        "the device summed up 59 min and 11.3 km, but the file's records hold 5 min and 0.9 km",
    )


@pytest.mark.parametrize(
    "sound",
    [
        {
            "seconds": range(3600),
            "elapsed_s": 3600,
            "timer_s": 3500,
            "distance_m": 10_900,
        },  # rounds, drops an end
        {
            "seconds": [*range(1800), *range(3000, 4800)],
            "elapsed_s": 4800,
            "timer_s": 3600,
            "pause": (1800, 3000),
        },
        {"seconds": [*range(1800), *range(3000, 4800)], "elapsed_s": 4800, "timer_s": 3600},  # no event
        {
            "seconds": [*range(1800), *range(3000, 4800)],
            "elapsed_s": 3600,
            "timer_s": 3600,
        },  # pauses never count
        {"seconds": range(3600), "elapsed_s": 4000, "timer_s": 3600},  # stopped, and saved later
        {"seconds": range(0, 3600, 7), "elapsed_s": 3600},  # saves space
        {"seconds": range(30), "elapsed_s": 60},  # a minute more or less is nothing
    ],
)
def test_sound_files_say_nothing(sound):
    assert summed(**sound).caveats == ()


@pytest.mark.parametrize(
    "odd",
    [
        {"seconds": range(3000), "elapsed_s": 3600, "timer_s": 3600},
        {"seconds": range(3600), "elapsed_s": 3000, "timer_s": 2900},
        {"seconds": range(3600), "elapsed_s": 3600, "distance_m": 13_000},
        {"seconds": range(3600), "elapsed_s": 3600, "distance_m": 9_000},
    ],
)
def test_more_than_a_twentieth_is_told(odd):
    assert [c.name for c in summed(**odd).caveats] == ["totals differ"]


@pytest.mark.parametrize(
    ("name", "totals"),
    [
        (
            "indoor_ride_18min_beats.fit",
            Totals(
                elapsed_s=1072.488, timer_s=1071.188, distance_m=6873.6, hr_mean_bpm=156.0, hr_max_bpm=185.0
            ),
        ),
        (
            "indoor_ride_38min.fit",
            Totals(elapsed_s=2261.85, timer_s=2261.85, ascent_m=4.0, hr_mean_bpm=148.0, hr_max_bpm=176.0),
        ),
        (
            "run_65min_compressed.fit",
            Totals(
                elapsed_s=3883.273, timer_s=3772.75, distance_m=10248.67, hr_mean_bpm=170.0, hr_max_bpm=190.0
            ),
        ),
    ],
)
def test_totals_of_real_recordings(name, totals):
    """As the session messages of these files read with a decoder's own defaults."""
    activity = read_fit(recording(name))
    assert activity.totals == totals
    assert "totals differ" not in [c.name for c in activity.caveats]
