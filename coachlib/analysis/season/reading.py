"""What one recording adds to a season: output at the reference heart rate, and drift freed from output.

Readings are small and meant to be kept; the recording is not opened again for a season.
"""

from dataclasses import dataclass
from datetime import date

import numpy as np

from coachlib.analysis.first_threshold.slopes import Slope, usual_slope
from coachlib.analysis.recording.gear import Gear, gear_of
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.recording.output import output_of
from coachlib.errors import CoachError, UnfitTest
from coachlib.measures.common.spans import Span, inside, spans_of
from coachlib.measures.recording import steady
from coachlib.measures.season.output_reading import OutputReading, output_at_heart_rate
from coachlib.measures.season.threshold_watch import DriftReading, drift_of_session
from coachlib.records.activity import Activity
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions

#: Sessions of these kinds are no steady sessions, whatever they look like.
UNSTEADY_KINDS = frozenset({"intervals", "race", "time trial", "step test", "ramp", "critical trial"})
#: Standing: slower than this share of the usual speed for so long. [s]  Own choice.
STANDING_FRAC, STANDING_S = 0.2, 10.0
#: Months in which an unknown temperature may have been warm (north of the equator).  Own choice.
WARM_MONTHS = range(5, 10)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recorded:
    """A recording with its decisions, what its session was, and the diary's words on equipment."""

    session: JudgedRecording
    activity: Activity
    decisions: Decisions | None = None
    equipment: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionReading:
    """One session's place in the season.

    ``group`` keeps what may be compared together: sport, and whether indoors.  ``is_test`` marks a controlled test,
    whose output is known from its settings.  Where a reading was refused, ``no_output`` or ``no_drift`` says why.
    """

    sha256: str
    on: date
    group: str
    sport: str
    unit: str
    gear: tuple[Gear, ...]
    output: OutputReading | None
    drift: DriftReading | None
    no_output: str
    no_drift: str
    is_test: bool = False


def reading_of(
    activity: Activity,
    decisions: Decisions | None,
    athlete: Athlete,
    *,
    on: date,
    reference_bpm: float | None,
    slope: Slope | None = None,
    kind: str | None = None,
    temperature_c: float | None = None,
    equipment: str = "",
) -> SessionReading | None:
    """Read one recording for the season.

    Parameters
    ----------
    activity, decisions, athlete
        The records; decisions may be missing.
    on : date
        Local day of the session.
    reference_bpm : float or None
        The season's reference heart rate. [1/min]
    slope : Slope, optional
        Heart rate for each unit of output; the usual one where not given.
    kind : str, optional
        Kind of session where the decisions have none.
    temperature_c : float, optional
        Air temperature. [degC]
    equipment : str
        The diary's words.

    Returns
    -------
    SessionReading or None
        None where the recording has no output at all.

    Source
    ------
    ``measures.season.output_reading`` and ``measures.season.threshold_watch``.
    """
    series = output_of(activity, decisions)
    if series is None:
        return None
    samples = activity.samples
    time_s, hr_bpm = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
    is_cycling = series.kind == "power"
    used = counting(activity, decisions)
    kind = (decisions.kind if decisions else None) or kind
    output: OutputReading | None = None
    drift: DriftReading | None = None
    slope = slope or usual_slope(activity.sport, series.unit)
    no_output = no_drift = _why_not(kind, slope, activity.sport)
    if not no_output and kind == "drift test":
        no_output = "a drift test joins the trend once its window and its settings are decided"
    if not no_output and reference_bpm is None:
        no_output = "there is no reference heart rate yet"
    if slope is not None and not no_output and reference_bpm is not None:
        first = athlete.threshold_on("first", on)
        try:
            output = output_at_heart_rate(
                time_s, hr_bpm, series.values, used, hr_reference_bpm=reference_bpm, slope=slope.value,
                slope_is_own=slope.is_own, is_cycling=is_cycling, temperature_c=temperature_c,
                warm_month=not activity.is_indoor and on.month in WARM_MONTHS,
                threshold_bpm=first.hr_bpm if first else None,
            )  # fmt: skip
        except CoachError as problem:
            no_output = str(problem)
    if slope is not None and not no_drift:
        try:
            drift = _drift(activity, decisions, series.values, used, is_cycling, slope, temperature_c)
        except CoachError as problem:
            no_drift = str(problem)
    return SessionReading(
        sha256=activity.sha256, on=on, group=group_of(activity.sport, is_indoor=activity.is_indoor),
        sport=activity.sport, unit=series.unit, gear=gear_of(activity, equipment, unit=series.unit),
        output=output, drift=drift, no_output=no_output, no_drift=no_drift,
    )  # fmt: skip


def group_of(sport: str, *, is_indoor: bool) -> str:
    """What may be compared together.

    Examples
    --------
    >>> group_of("running", is_indoor=True)
    'running indoors'
    """
    return f"{sport} indoors" if is_indoor else sport


def _why_not(kind: str | None, slope: Slope | None, sport: str) -> str:
    """Why a session cannot be read, before looking into it; "" where it can."""
    if kind in UNSTEADY_KINDS:
        return f"a session of the kind {kind} is not steady"
    if slope is None:
        return f"how heart rate follows output is not known for {sport or 'an unknown sport'}"
    return ""


def _drift(
    activity: Activity,
    decisions: Decisions | None,
    output: np.ndarray,
    used: np.ndarray,
    is_cycling: bool,
    slope: Slope,
    temperature_c: float | None,
) -> DriftReading:
    """Drift in the coach's window, else from minute 15 to the end of a steady session."""
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    window = next((w for w in (decisions.windows if decisions else ()) if w.purpose == "steady"), None)
    if window is not None:
        return drift_of_session(
            time_s, samples["hr_bpm"].to_numpy(), output, used, slope=slope.value,
            temperature_c=temperature_c, start_s=window.start_s, stop_s=window.stop_s,
        )  # fmt: skip
    pauses = _pauses(activity)
    floor = (
        steady.POWER_FLOOR_W * steady.ROAD_POWER_TIMES
        if is_cycling
        else steady.SPEED_FLOOR_MPS * steady.ROAD_SPEED_TIMES
    )
    found = steady.suggest_window(time_s, samples["hr_bpm"].to_numpy(), output, pauses=pauses, floor=floor)
    if why := steady.why_not_steady(time_s, output, window=found, pauses=pauses, is_power=is_cycling):
        raise UnfitTest(why.name)
    return drift_of_session(
        time_s, samples["hr_bpm"].to_numpy(), output, used, slope=slope.value, temperature_c=temperature_c,
        start_s=found.start_s, stop_s=found.stop_s,
    )  # fmt: skip


def _pauses(activity: Activity) -> tuple[Span, ...]:
    """Pauses of the timer, gaps, and stretches of standing still outdoors."""
    stretches = activity.pauses[["start_s", "stop_s"]].to_numpy()
    pauses = [Span(start_s=float(a), stop_s=float(b)) for a, b in stretches]
    speed = activity.samples["speed_mps"].to_numpy()
    if not activity.is_indoor and np.isfinite(speed).any():
        still = np.nan_to_num(speed, nan=np.inf) < STANDING_FRAC * np.nanmedian(speed)
        spans = spans_of(activity.samples["time_s"].to_numpy(), still, step_s=1.0)
        pauses += [s for s in spans if s.length_s >= STANDING_S]
    return tuple(pauses)


def counting(activity: Activity, decisions: Decisions | None) -> np.ndarray:
    """Samples with heart rate, outside exclusions, pauses and the minutes after them."""
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    excluded = [e for e in (decisions.exclusions if decisions else ()) if e.quantity == "hr_bpm"]
    apart = inside(time_s, excluded) | inside(time_s, steady.pauses_with_settling(_pauses(activity)))
    return np.isfinite(samples["hr_bpm"].to_numpy()) & ~apart
