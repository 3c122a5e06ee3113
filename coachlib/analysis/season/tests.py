"""Controlled tests of a season: drift tests whose output is known from their settings."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.slopes import Slope
from coachlib.analysis.recording.output import output_of
from coachlib.analysis.season.reading import Recorded, SessionReading, group_of
from coachlib.errors import CoachError
from coachlib.measures.output import energy
from coachlib.measures.season.controlled_reading import output_of_test
from coachlib.measures.season.output_reading import OutputReading
from coachlib.records.sports import RUNNING_SPORTS, WALKING_SPORTS

#: What a typed test was done in where no recording of the season says so.  Own choice.
USUAL_SPORTS = {"W": "cycling", "m/s": "running"}


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonTest:
    """A test with its sport and place; ``unit`` is "W" or "m/s" of what was set."""

    test: SeriesTest
    sport: str
    is_indoor: bool
    unit: str


def placed_tests(tests: Sequence[SeriesTest], recordings: Sequence[Recorded]) -> tuple[SeasonTest, ...]:
    """Give every test its sport and place; those without settings are left out.

    A recorded test is what its recording is.  A typed one was done in the sport that most recordings with its kind
    of output have, and on a machine where power or a grade was typed.

    Examples
    --------
    >>> placed_tests([], [])
    ()
    """
    by_recording = {r.activity.sha256: r for r in recordings}
    sports = _usual_sports(recordings) if any(t.typed for t in tests) else Counter()
    found = []
    for test in tests:
        unit = "W" if test.power_w is not None else "m/s"
        if unit == "m/s" and test.speed_mps is None:
            continue
        recorded = by_recording.get(test.sha256)
        if recorded is not None:
            sport, is_indoor = recorded.activity.sport, recorded.activity.is_indoor
        elif test.typed:
            among = [(n, sport) for (of_unit, sport), n in sports.items() if of_unit == unit]
            sport = max(among)[1] if among else USUAL_SPORTS[unit]
            is_indoor = unit == "W" or test.grade is not None
        else:
            continue
        found.append(SeasonTest(test=test, sport=sport, is_indoor=is_indoor, unit=unit))
    return tuple(found)


def _usual_sports(recordings: Sequence[Recorded]) -> Counter[tuple[str, str]]:
    """How many recordings have a unit of output in a sport."""
    return Counter(
        (series.unit, r.activity.sport)
        for r in recordings
        if (series := output_of(r.activity, r.decisions)) is not None
    )


def output_of_season_test(
    placed: SeasonTest, *, reference_bpm: float | None, slope: Slope | None
) -> tuple[OutputReading | None, str]:
    """Output of a test at the reference heart rate, or why there is none.

    Source
    ------
    ``measures.season.controlled_reading``; speeds on a grade as ``analysis.recording.output`` has them.
    """
    test = placed.test
    if slope is None:
        return None, f"how heart rate follows output is not known for {placed.sport or 'an unknown sport'}"
    if reference_bpm is None:
        return None, "there is no reference heart rate yet"
    if placed.unit == "m/s" and placed.is_indoor and test.grade is None:
        return None, "a test on a belt is read by its speed and grade; type both in"
    try:
        reading = output_of_test(
            test.first_half_bpm, test.drift_pct, _set_output(placed), minutes=test.minutes,
            hr_reference_bpm=reference_bpm, slope=slope.value, slope_is_own=slope.is_own,
            is_cycling=placed.unit == "W", temperature_c=test.air_c,
        )  # fmt: skip
    except CoachError as problem:
        return None, str(problem)
    return reading, ""


def typed_reading(placed: SeasonTest, *, reference_bpm: float | None, slope: Slope | None) -> SessionReading:
    """A test known only by its two half means, as a reading."""
    output, why_not = output_of_season_test(placed, reference_bpm=reference_bpm, slope=slope)
    return SessionReading(
        sha256="", on=placed.test.on, group=group_of(placed.sport, is_indoor=placed.is_indoor),
        sport=placed.sport, unit=placed.unit, gear=(), output=output, drift=None, no_output=why_not,
        no_drift="a typed test has no recording", is_test=output is not None,
    )  # fmt: skip


def _set_output(placed: SeasonTest) -> float:
    """What was set, in the output's unit: power, or speed brought to the flat."""
    test = placed.test
    if placed.unit == "W":
        return test.power_w or 0.0
    speed, grade = np.array([test.speed_mps or 0.0]), np.array([test.grade or 0.0])
    if placed.sport in RUNNING_SPORTS:
        return float(energy.flat_equivalent_speed(speed, grade)[0])
    if placed.sport in WALKING_SPORTS:
        return float(energy.flat_equivalent_walking_speed(speed, grade)[0])
    return float(speed[0])
