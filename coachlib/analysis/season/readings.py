"""Everything a season reads from judged recordings and tests; reference heart rate and slope come later."""

from collections.abc import Sequence
from dataclasses import replace

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.season.reading import SessionReading, reading_of
from coachlib.analysis.season.tests import SeasonTest, output_of_season_test, placed_tests, typed_reading
from coachlib.measures.common.codes import Code
from coachlib.records.athlete import Athlete
from coachlib.records.roster import Climate


def readings_of_season(
    judged: Sequence[JudgedRecording],
    athlete: Athlete,
    tests: Sequence[SeriesTest] = (),
    *,
    climate: Climate | None = None,
) -> tuple[SessionReading, ...]:
    """Read every judged recording and test.

    Parameters
    ----------
    judged : sequence of JudgedRecording
        All recordings since the comparison began, or simply all.
    athlete : Athlete
        For the thresholds.
    tests : sequence of SeriesTest
        Drift tests that were judged usable, typed ones included.  They are read by their settings, and at three or
        more settings they teach the athlete's own slope.
    climate : Climate, optional
        Of the roster, for sessions without temperature.

    Returns
    -------
    tuple of SessionReading
        In the order of their days; recordings without any output are left out.

    Source
    ------
    See ``reading.reading_of`` and ``measures.season.controlled_reading``.

    Examples
    --------
    >>> readings_of_season([], Athlete(slug="anna", name="Anna"))
    ()
    """
    placed = placed_tests(tests, judged)
    by_recording = {t.test.sha256: t for t in placed if t.test.sha256}
    found = [typed_reading(t, climate) for t in placed if t.test.typed]
    for recording in judged:
        reading = reading_of(recording, athlete, climate=climate)
        if reading is not None:
            found.append(_as_test(reading, by_recording.get(recording.sha256), climate))
    return tuple(sorted(found, key=lambda reading: (reading.on, reading.sha256)))


def _as_test(reading: SessionReading, placed: SeasonTest | None, climate: Climate | None) -> SessionReading:
    """The same read by its settings, where it is a test that counts."""
    if placed is None:
        return reading
    output = output_of_season_test(placed, climate)
    if isinstance(output, Code):
        return replace(reading, output=None, no_output=output, test=placed.test)
    return replace(reading, output=output, no_output=None, test=placed.test)
