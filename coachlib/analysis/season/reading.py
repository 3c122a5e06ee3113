"""What one judged recording adds to a season: heart rate and output in comparable conditions, and drift.

Nothing here opens a recording: the slow part was worked out when it was judged.
"""

from dataclasses import dataclass
from datetime import date

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.analysis.first_threshold.slopes import usual_slope
from coachlib.analysis.recording.gear import Gear
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.measures.common.codes import Code, code
from coachlib.measures.season.heat import Heat, heat_of_session, usual_temperature_c
from coachlib.measures.season.output_reading import OutputReading, output_reading
from coachlib.measures.season.threshold_watch import LEAST_S, DriftReading, drift_of_session
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import UNSTEADY_KINDS
from coachlib.records.roster import Climate


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionReading:
    """One session's place in the season.

    ``group`` keeps what may be compared together: sport, and whether indoors.  ``test`` is the controlled test that
    the reading comes from, None for ordinary sessions.  Where a reading was refused, ``no_output`` or ``no_drift``
    says why.
    """

    sha256: str
    on: date
    group: str
    sport: str
    unit: str
    gear: tuple[Gear, ...]
    output: OutputReading | None
    drift: DriftReading | None
    no_output: Code | None = None
    no_drift: Code | None = None
    test: SeriesTest | None = None

    @property
    def is_test(self) -> bool:
        """Whether it is a controlled test, whose output is known from its settings."""
        return self.test is not None and self.output is not None

    @property
    def sensor(self) -> str:
        """What heart rate came from, "" where nothing tells."""
        return next((g.which for g in self.gear if g.thing == "strap"), "")


def reading_of(
    judged: JudgedRecording, athlete: Athlete, *, climate: Climate | None = None
) -> SessionReading | None:
    """Read one judged recording for the season.

    Parameters
    ----------
    judged : JudgedRecording
        The recording.
    athlete : Athlete
        For the first threshold of that day and sport: above it drift spoils the reading.
    climate : Climate, optional
        Of the roster, for sessions without temperature.

    Returns
    -------
    SessionReading or None
        None where the recording has no output at all.

    Source
    ------
    ``measures.season.output_reading`` and ``measures.season.threshold_watch``.
    """
    if judged.output is None:
        return None
    output = _output(judged, athlete, heat_on(judged.on, judged.temperature_c, judged.is_indoor, climate))
    drift = _drift(judged)
    return SessionReading(
        sha256=judged.sha256, on=judged.on, group=group_of(judged.sport, is_indoor=judged.is_indoor),
        sport=judged.sport, unit=judged.output.unit, gear=tuple(judged.gear),
        output=None if isinstance(output, Code) else output, drift=None if isinstance(drift, Code) else drift,
        no_output=output if isinstance(output, Code) else None,
        no_drift=drift if isinstance(drift, Code) else None,
    )  # fmt: skip


def group_of(sport: str, *, is_indoor: bool) -> str:
    """What may be compared together.

    Examples
    --------
    >>> group_of("running", is_indoor=True)
    'running indoors'
    """
    return f"{sport} indoors" if is_indoor else sport


def heat_on(on: date, temperature_c: float | None, is_indoor: bool, climate: Climate | None) -> Heat:
    """Heat of a session, expected from the climate where nobody wrote it down."""
    usual = None
    if climate is not None:
        usual = usual_temperature_c(
            on,
            coldest_c=climate.coldest_c,
            warmest_c=climate.warmest_c,
            warmest_month=climate.warmest_month,
        )
    return heat_of_session(temperature_c, is_indoor=is_indoor, usual_c=usual)


def _output(judged: JudgedRecording, athlete: Athlete, heat: Heat) -> OutputReading | Code:
    """The output reading, or why there is none."""
    unit, is_set = (judged.output.unit, judged.output.is_set) if judged.output else ("", False)
    slope = usual_slope(judged.sport, unit)
    if judged.kind in UNSTEADY_KINDS:
        return code("kind not compared", kind=judged.kind)
    if slope is None:
        return code("slope not known", sport=judged.sport)
    if judged.kind == "drift test":
        return code("test waits for decisions")
    if judged.level is None:
        return code("output not recorded")
    if judged.level.refusal is not None:
        return judged.level.refusal
    reading = output_reading(
        judged.level,
        slope=slope.value,
        is_cycling=unit == "W",
        is_indoor=judged.is_indoor,
        is_set=is_set,
        heat=heat,
    )
    first = athlete.threshold_on("first", judged.on, judged.sport)
    if first is not None and reading.hr_bpm > first.hr_bpm:
        return code("above the first threshold", hr_bpm=reading.hr_bpm, threshold_bpm=first.hr_bpm)
    return reading


def _drift(judged: JudgedRecording) -> DriftReading | Code:
    """Drift of the steady stretch at constant output, or why there is none."""
    steady = judged.steady
    if judged.kind in UNSTEADY_KINDS:
        return code("kind not compared", kind=judged.kind)
    if steady is None:
        return code("no steady stretch")
    if steady.is_void:
        return code("steady stretch is void")
    is_set = judged.output is not None and judged.output.is_set
    if steady.held is None and not is_set:
        return code("drift rests on an unknown output")
    length_s = steady.drift.stop_s - steady.drift.start_s
    if length_s < LEAST_S:
        return code("steady stretch too short", minutes=length_s / 60.0, least_min=LEAST_S / 60.0)
    return drift_of_session(
        steady.drift.first_half_bpm, steady.told.drift_pct, steady.told_se_pct,
        minutes=length_s / 60.0, temperature_c=judged.temperature_c,
    )  # fmt: skip
