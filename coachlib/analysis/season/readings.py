"""Everything a season reads from its recordings and tests, at one reference heart rate and slope a sport."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.slopes import Slope, own_slope
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.recording.output import output_of
from coachlib.analysis.season.reading import UNSTEADY_KINDS, Recorded, SessionReading, counting, reading_of
from coachlib.analysis.season.tests import SeasonTest, output_of_season_test, placed_tests, typed_reading
from coachlib.errors import CoachError
from coachlib.measures.season.output_reading import CYCLING_SLOPE, START_S, STOP_S, own_cycling_slope
from coachlib.records.athlete import Athlete

#: The reference heart rate comes from so many days.
REFERENCE_SPAN = timedelta(days=28)
#: Own slopes on power outside this range are errors. [1/min per W]  Own choice: twice and half the usual one.
BELIEVED_SLOPES = (CYCLING_SLOPE / 2, CYCLING_SLOPE * 2)


def readings_of_season(
    recordings: Sequence[Recorded], athlete: Athlete, *, tests: Sequence[SeriesTest] = ()
) -> tuple[SessionReading, ...]:
    """Read every recording and test of a season at one reference heart rate and one slope for each sport.

    Parameters
    ----------
    recordings : sequence of Recorded
        Everything of the season, each with its session's result and decisions.
    athlete : Athlete
        For the thresholds, and for days apart, which teach nothing.
    tests : sequence of SeriesTest
        The season's drift tests that were judged usable, typed ones included.  They are read by their settings,
        and at three or more settings they teach the athlete's own slope.

    Returns
    -------
    tuple of SessionReading
        In the order of their days; recordings without any output are left out.

    Source
    ------
    See ``readings.reading_of`` and ``measures.season.controlled_reading``.  The reference comes from the four weeks after
    the sport's first session and is kept for the season.

    Examples
    --------
    >>> readings_of_season([], Athlete(slug="anna", name="Anna"))
    ()
    """
    placed = placed_tests(tests, recordings)
    found: list[SessionReading] = []
    for sport in sorted({r.activity.sport for r in recordings} | {t.sport for t in placed}):
        own = sorted((r for r in recordings if r.activity.sport == sport), key=lambda r: r.session.started_at)
        found += _of_sport(sport, own, [t for t in placed if t.sport == sport], athlete)
    return tuple(sorted(found, key=lambda reading: reading.on))


def _of_sport(
    sport: str, own: Sequence[Recorded], tests: Sequence[SeasonTest], athlete: Athlete
) -> list[SessionReading]:
    """The readings of one sport."""
    well = [r for r in own if athlete.block_on(r.session.on) is None]
    reference = _reference_of_sport(well, tests, athlete)
    on_machine = [t.test for t in tests if t.is_indoor and athlete.block_on(t.test.on) is None]
    by_rides = own_slope_of_rides(well) if sport == "cycling" else None
    slopes = {
        unit: own_slope(on_machine, sport, unit, hr_max_bpm=athlete.hr_max_bpm) for unit in ("W", "m/s")
    }
    slopes["W"] = by_rides or slopes["W"]
    by_recording = {t.test.sha256: t for t in tests if t.test.sha256}
    found = []
    for recorded in own:
        series = output_of(recorded.activity, recorded.decisions)
        if series is None:
            continue
        slope = slopes[series.unit]
        reading = reading_of(
            recorded.activity, recorded.decisions, athlete, on=recorded.session.on, reference_bpm=reference,
            slope=slope, kind=recorded.session.kind, temperature_c=recorded.session.temperature_c,
            equipment=recorded.equipment,
        )  # fmt: skip
        test = by_recording.get(recorded.activity.sha256)
        if reading is not None and test is not None:
            output, why_not = output_of_season_test(test, reference_bpm=reference, slope=slope)
            reading = replace(reading, output=output, no_output=why_not, is_test=output is not None)
        if reading is not None:
            found.append(reading)
    typed = [t for t in tests if t.test.typed]
    return found + [typed_reading(t, reference_bpm=reference, slope=slopes[t.unit]) for t in typed]


def _reference_of_sport(
    own: Sequence[Recorded], tests: Sequence[SeasonTest], athlete: Athlete
) -> float | None:
    """The sport's reference heart rate: of its first sessions, else of its tests."""
    if not own:
        return float(round(np.median([t.test.first_half_bpm for t in tests]))) if tests else None
    first = athlete.threshold_on("first", own[-1].session.on)
    until = own[0].session.on + REFERENCE_SPAN
    early = [r.session for r in own if r.session.on < until]
    return reference_heart_rate(early, threshold_bpm=first.hr_bpm if first else None)


def reference_heart_rate(
    sessions: Sequence[JudgedRecording], *, threshold_bpm: float | None = None
) -> float | None:
    """The heart rate a season's output is told at: the usual one of minutes 10 to 25 [1/min].

    Parameters
    ----------
    sessions : sequence of JudgedRecording
        Sessions of the season's first four weeks.
    threshold_bpm : float, optional
        The accepted first threshold; sessions above it are left aside. [1/min]

    Returns
    -------
    float or None
        A whole number; None where no session lasted long enough.

    Source
    ------
    This project's own choice: near the usual heart rate little has to be extrapolated.

    Examples
    --------
    >>> reference_heart_rate([]) is None
    True
    """
    means = []
    for session in sessions:
        minutes = [m for m in session.minute_bpm[int(START_S / 60) : int(STOP_S / 60)] if m is not None]
        if session.kind in UNSTEADY_KINDS or len(minutes) < 10:
            continue
        mean = float(np.mean(minutes))
        if threshold_bpm is None or mean <= threshold_bpm:
            means.append(mean)
    return float(round(float(np.median(means)))) if means else None


def own_slope_of_rides(recordings: Sequence[Recorded]) -> Slope | None:
    """The slope of heart rate on power from many rides; None where they cannot teach a sensible one.

    Source
    ------
    ``measures.season.output_reading.own_cycling_slope``; the range that is believed is this project's own choice.
    """
    rides: tuple[list[np.ndarray], ...] = ([], [], [], [])
    for recorded in recordings:
        series = output_of(recorded.activity, recorded.decisions)
        if series is None or series.unit != "W" or series.is_set or recorded.session.kind in UNSTEADY_KINDS:
            continue
        samples = recorded.activity.samples
        used = counting(recorded.activity, recorded.decisions)
        arrays = (samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy(), series.values, used)
        for kept, array in zip(rides, arrays, strict=True):
            kept.append(array)
    try:
        value = own_cycling_slope(*rides)
    except CoachError:
        return None
    low, high = BELIEVED_SLOPES
    return Slope(value=value, is_own=True) if low <= value <= high else None
