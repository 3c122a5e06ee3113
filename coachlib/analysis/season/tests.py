"""Controlled tests of a season: drift tests whose output is known from their settings."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.season.reading import SessionReading, group_of, heat_on
from coachlib.errors import CoachError
from coachlib.measures.common.codes import Code, code
from coachlib.measures.output import energy
from coachlib.measures.season.controlled_reading import reading_of_test
from coachlib.measures.season.output_reading import OutputReading
from coachlib.records.roster import Climate
from coachlib.records.sports import RUNNING_SPORTS, WALKING_SPORTS

#: What a typed test was done in where nothing says so.  Own choice.
USUAL_SPORTS = {"W": "cycling", "m/s": "running"}


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonTest:
    """A test with its sport and place; ``unit`` is "W" or "m/s" of what was set."""

    test: SeriesTest
    sport: str
    is_indoor: bool
    unit: str


def placed_tests(
    tests: Sequence[SeriesTest], recordings: Sequence[JudgedRecording]
) -> tuple[SeasonTest, ...]:
    """Give every test its sport and place; those without settings are left out.

    A recorded test is what its recording is.  A typed one was done in the sport it names, else in the one that most
    recordings with its kind of output have, and on a machine where power or a grade was typed.

    Examples
    --------
    >>> placed_tests([], [])
    ()
    """
    by_recording = {r.sha256: r for r in recordings}
    sports = Counter((r.output.unit, r.sport) for r in recordings if r.output is not None)
    found = []
    for test in tests:
        unit = "W" if test.power_w is not None else "m/s"
        if unit == "m/s" and test.speed_mps is None:
            continue
        recorded = by_recording.get(test.sha256)
        if recorded is not None:
            sport, is_indoor = recorded.sport, recorded.is_indoor
        elif test.typed:
            among = [(n, sport) for (of_unit, sport), n in sports.items() if of_unit == unit]
            sport = getattr(test, "sport", None) or (max(among)[1] if among else USUAL_SPORTS[unit])
            is_indoor = unit == "W" or test.grade is not None
        else:
            continue
        found.append(SeasonTest(test=test, sport=sport, is_indoor=is_indoor, unit=unit))
    return tuple(found)


def output_of_season_test(placed: SeasonTest, climate: Climate | None) -> OutputReading | Code:
    """Heart rate and output of a test in comparable conditions, or why they are not known.

    Source
    ------
    ``measures.season.controlled_reading``; speeds on a grade as ``analysis.recording.output`` has them.
    """
    test = placed.test
    if placed.unit == "m/s" and placed.is_indoor and test.grade is None:
        return code("belt test without grade")
    try:
        return reading_of_test(
            test.first_half_bpm, test.drift_pct, _set_output(placed), minutes=test.minutes,
            heat=heat_on(test.on, test.air_c, placed.is_indoor, climate),
        )  # fmt: skip
    except CoachError:
        return code("test cannot be read", minutes=test.minutes)


def typed_reading(placed: SeasonTest, climate: Climate | None) -> SessionReading:
    """A test known only by its two half means, as a reading."""
    output = output_of_season_test(placed, climate)
    return SessionReading(
        sha256="", on=placed.test.on, group=group_of(placed.sport, is_indoor=placed.is_indoor),
        sport=placed.sport, unit=placed.unit, gear=(), drift=None, no_drift=code("typed test"), test=placed.test,
        output=None if isinstance(output, Code) else output,
        no_output=output if isinstance(output, Code) else None,
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
