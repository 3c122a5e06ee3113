"""What one recording adds to a season: output at the reference heart rate, and drift freed from output.

Readings are small and meant to be kept; the recording is not opened again for a season.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

import numpy as np

from coachlib.analysis.output import RUNNING_SPORTS, WALKING_SPORTS, output_of
from coachlib.analysis.session import SessionResult
from coachlib.errors import CoachError, UnfitTest
from coachlib.measures import steady
from coachlib.measures.heart_rate_line import HeartRateLine
from coachlib.measures.output_reading import (
    CYCLING_SLOPE,
    RUNNING_SLOPE,
    START_S,
    STOP_S,
    OutputReading,
    output_at_heart_rate,
    own_cycling_slope,
)
from coachlib.measures.spans import Span, inside, spans_of
from coachlib.measures.threshold_watch import DriftReading, drift_of_session
from coachlib.records.activity import Activity
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions

#: Sessions of these kinds are no steady sessions, whatever they look like.
UNSTEADY_KINDS = frozenset({"intervals", "race", "time trial", "step test", "ramp", "critical trial"})
#: Standing: slower than this share of the usual speed for so long. [s]  Own choice.
STANDING_FRAC, STANDING_S = 0.2, 10.0
#: Months in which an unknown temperature may have been warm (north of the equator).  Own choice.
WARM_MONTHS = range(5, 10)
#: One ml/kg/min of oxygen demand is so many m/s of level running (ACSM: 12 ml/kg/min per m/s).
DEMAND_PER_MPS = 12.0
#: An own slope needs settings in so many tests.  Own choice.
LEAST_SETTINGS = 3
#: The reference heart rate comes from so many days.
REFERENCE_SPAN = timedelta(days=28)
#: Own slopes on power outside this range are errors. [1/min per W]  Own choice: twice and half the usual one.
BELIEVED_SLOPES = (CYCLING_SLOPE / 2, CYCLING_SLOPE * 2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Slope:
    """Heart rate for each unit of output, and whether it was learnt from this athlete."""

    value: float
    is_own: bool


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Recorded:
    """A recording with its decisions and what its session was."""

    session: SessionResult
    activity: Activity
    decisions: Decisions | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionReading:
    """One session's place in the season.

    ``group`` keeps what may be compared together: sport, and whether indoors.  Where a reading was
    refused, ``no_output`` or ``no_drift`` says why.
    """

    sha256: str
    on: date
    group: str
    sport: str
    unit: str
    device: str
    output: OutputReading | None
    drift: DriftReading | None
    no_output: str
    no_drift: str


def usual_slope(sport: str, unit: str) -> Slope | None:
    """The slope to begin with: by watt, by running or by walking speed; None for other sports.

    Source
    ------
    Running and power: ``measures.output_reading``.  Walking: this project's own choice, half of running,
    as in the ACSM equations (0.1 against 0.2 ml/kg/min for each m/min).

    Examples
    --------
    >>> usual_slope("cycling", "W").value, usual_slope("running", "m/s").value
    (0.34, 24.2)
    >>> usual_slope("rowing", "m/s") is None
    True
    """
    if unit == "W":
        return Slope(value=CYCLING_SLOPE, is_own=False)
    if sport in RUNNING_SPORTS:
        return Slope(value=RUNNING_SLOPE, is_own=False)
    return Slope(value=RUNNING_SLOPE / 2, is_own=False) if sport in WALKING_SPORTS else None


def slope_of_tests(line: HeartRateLine | None, sport: str, unit: str) -> Slope | None:
    """The athlete's own slope from tests at three or more settings, else the usual one.

    Running outdoors cannot teach it: the error of measured speed flattens the slope by an unknown amount.

    Examples
    --------
    >>> slope_of_tests(None, "running", "m/s").is_own
    False
    """
    usual = usual_slope(sport, unit)
    if line is None or line.n_tests < LEAST_SETTINGS or usual is None:
        return usual
    by_demand = 1.0 if unit == "W" else DEMAND_PER_MPS * usual.value / RUNNING_SLOPE
    return Slope(value=line.slope * by_demand, is_own=True)


def reference_heart_rate(
    sessions: Sequence[SessionResult], *, threshold_bpm: float | None = None
) -> float | None:
    """The heart rate a season's output is told at: the usual one of minutes 10 to 25 [1/min].

    Parameters
    ----------
    sessions : sequence of SessionResult
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


def readings_of_season(
    recordings: Sequence[Recorded], athlete: Athlete, *, line: HeartRateLine | None = None
) -> tuple[SessionReading, ...]:
    """Read every recording of a season at one reference heart rate and one slope for each sport.

    Parameters
    ----------
    recordings : sequence of Recorded
        Everything of the season, each with its session's result and decisions.
    athlete : Athlete
        For the thresholds.
    line : HeartRateLine, optional
        The athlete's line from tests on a treadmill, which teaches the slope of running and walking.

    Returns
    -------
    tuple of SessionReading
        In the order of the recordings; those without any output are left out.

    Source
    ------
    See ``reading_of``.  The reference comes from the four weeks after the sport's first session and is kept
    for the season.

    Examples
    --------
    >>> readings_of_season([], Athlete(slug="anna", name="Anna"))
    ()
    """
    found = []
    for sport in sorted({r.activity.sport for r in recordings}):
        own = sorted((r for r in recordings if r.activity.sport == sport), key=lambda r: r.session.started_at)
        first = athlete.threshold_on("first", own[-1].session.on)
        until = own[0].session.on + REFERENCE_SPAN
        early = [r.session for r in own if r.session.on < until]
        reference = reference_heart_rate(early, threshold_bpm=first.hr_bpm if first else None)
        by_power = own_slope_of_rides(own) if sport == "cycling" else None
        for recorded in own:
            series = output_of(recorded.activity, recorded.decisions)
            if series is None:
                continue
            learnt = by_power if series.unit == "W" else slope_of_tests(line, sport, series.unit)
            reading = reading_of(
                recorded.activity, recorded.decisions, athlete, on=recorded.session.on, reference_bpm=reference,
                slope=learnt, kind=recorded.session.kind, temperature_c=recorded.session.temperature_c,
            )  # fmt: skip
            if reading is not None:
                found.append((recorded.session.started_at, reading))
    return tuple(reading for _, reading in sorted(found, key=lambda pair: pair[0]))


def own_slope_of_rides(recordings: Sequence[Recorded]) -> Slope | None:
    """The slope of heart rate on power from many rides; None where they cannot teach a sensible one.

    Source
    ------
    ``measures.output_reading.own_cycling_slope``; the range that is believed is this project's own choice.
    """
    rides: tuple[list[np.ndarray], ...] = ([], [], [], [])
    for recorded in recordings:
        series = output_of(recorded.activity, recorded.decisions)
        if series is None or series.unit != "W" or series.is_set or recorded.session.kind in UNSTEADY_KINDS:
            continue
        samples = recorded.activity.samples
        used = _used(recorded.activity, recorded.decisions)
        arrays = (samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy(), series.values, used)
        for kept, array in zip(rides, arrays, strict=True):
            kept.append(array)
    try:
        value = own_cycling_slope(*rides)
    except CoachError:
        return None
    low, high = BELIEVED_SLOPES
    return Slope(value=value, is_own=True) if low <= value <= high else None


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

    Returns
    -------
    SessionReading or None
        None where the recording has no output at all.

    Source
    ------
    ``measures.output_reading`` and ``measures.threshold_watch``.
    """
    series = output_of(activity, decisions)
    if series is None:
        return None
    samples = activity.samples
    time_s, hr_bpm = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
    is_cycling = series.kind == "power"
    used = _used(activity, decisions)
    kind = (decisions.kind if decisions else None) or kind
    output: OutputReading | None = None
    drift: DriftReading | None = None
    slope = slope or usual_slope(activity.sport, series.unit)
    no_output = no_drift = _why_not(kind, slope, activity.sport)
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
        sha256=activity.sha256, on=on, group=f"{activity.sport} indoors" if activity.is_indoor else activity.sport,
        sport=activity.sport, unit=series.unit, device=activity.device, output=output, drift=drift,
        no_output=no_output, no_drift=no_drift,
    )  # fmt: skip


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
    found = steady.steadiness(
        time_s, samples["hr_bpm"].to_numpy(), output, pauses=_pauses(activity), is_power=is_cycling
    )
    if found.why_not is not None:
        raise UnfitTest(found.why_not)
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


def _used(activity: Activity, decisions: Decisions | None) -> np.ndarray:
    """Samples with heart rate, outside exclusions, pauses and the minutes after them."""
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    excluded = [e for e in (decisions.exclusions if decisions else ()) if e.quantity == "hr_bpm"]
    apart = inside(time_s, excluded) | inside(time_s, steady.pauses_with_settling(_pauses(activity)))
    return np.isfinite(samples["hr_bpm"].to_numpy()) & ~apart
