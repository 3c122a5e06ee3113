"""What a season needs of one recording, worked out from its activity."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from coachlib.analysis.first_threshold.slopes import usual_slope
from coachlib.analysis.recording.gear import Gear, gear_of
from coachlib.analysis.recording.level import level_of
from coachlib.analysis.recording.output import output_of
from coachlib.analysis.recording.session import OutputSummary, SessionResult
from coachlib.errors import CoachError
from coachlib.measures.common.spans import Span, inside, spans_of
from coachlib.measures.drift_test.decoupling import drift_corrected_for_output
from coachlib.measures.drift_test.drift import HeartRateDrift
from coachlib.measures.recording.artefacts import suggest_exclusions
from coachlib.measures.season.output_level import OutputLevel
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions

#: Standing: slower than this share of the usual speed for so long. [s]  Own choice.
STANDING_FRAC, STANDING_S = 0.2, 10.0
#: Error of drift that correcting for output leaves. [%]  Own choice.
CORRECTION_SE_PCT = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class HeldDrift:
    """Drift at constant output."""

    drift_pct: float
    se_pct: float
    u_pct: float = CORRECTION_SE_PCT


@dataclass(frozen=True, slots=True, kw_only=True)
class SteadyPart:
    """The steady stretch that the session's drift was told in."""

    drift: HeartRateDrift
    held: HeldDrift | None
    is_void: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class SeasonSession:
    """One recording as a season reads it, see ``analysis.season.reading.Judged``."""

    sha256: str
    on: date
    sport: str
    is_indoor: bool
    kind: str | None
    temperature_c: float | None
    gear: tuple[Gear, ...]
    output: OutputSummary | None
    level: OutputLevel | None
    steady: SteadyPart | None


def season_session(
    session: SessionResult, activity: Activity, decisions: Decisions | None, *, equipment: str = ""
) -> SeasonSession:
    """The same session with its level of minutes 10 to 25 and its drift at constant output.

    Parameters
    ----------
    session : SessionResult
        What the session was.
    activity, decisions
        The recording it comes from; decisions may be missing.
    equipment : str
        The diary's words.
    """
    samples = activity.samples
    time_s, hr_bpm = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
    odd = suggest_exclusions(time_s, hr_bpm, cadence_rpm=samples["cadence_rpm"].to_numpy())
    series = output_of(activity, decisions)
    level = level_of(
        activity, decisions, series, pauses=pauses_of(activity), undecided=[s for s in odd if s.reason != "flat"]
    )
    return SeasonSession(
        sha256=session.sha256, on=session.on, sport=session.sport, is_indoor=session.is_indoor, kind=session.kind,
        temperature_c=session.temperature_c, output=session.output, level=level,
        gear=gear_of(activity, equipment, unit="m/s" if series is None else series.unit),
        steady=_steady(session, activity, decisions),
    )  # fmt: skip


def pauses_of(activity: Activity) -> tuple[Span, ...]:
    """Pauses of the timer, gaps, and stretches of standing still outdoors."""
    stretches = activity.pauses[["start_s", "stop_s"]].to_numpy()
    pauses = [Span(start_s=float(a), stop_s=float(b)) for a, b in stretches]
    speed = activity.samples["speed_mps"].to_numpy()
    if not activity.is_indoor and np.isfinite(speed).any():
        still = np.nan_to_num(speed, nan=np.inf) < STANDING_FRAC * np.nanmedian(speed)
        spans = spans_of(activity.samples["time_s"].to_numpy(), still, step_s=1.0)
        pauses += [s for s in spans if s.length_s >= STANDING_S]
    return tuple(pauses)


def _steady(session: SessionResult, activity: Activity, decisions: Decisions | None) -> SteadyPart | None:
    """Drift of the session's steady stretch, freed from changes of output."""
    if session.drift is None:
        return None
    series = output_of(activity, decisions)
    slope = None if series is None else usual_slope(activity.sport, series.unit)
    held = None
    if series is not None and slope is not None and not series.is_set:
        samples = activity.samples
        time_s = samples["time_s"].to_numpy()
        excluded = [e for e in (decisions.exclusions if decisions else ()) if e.quantity == "hr_bpm"]
        try:
            found = drift_corrected_for_output(
                time_s, samples["hr_bpm"].to_numpy(), series.values,
                np.isfinite(series.values) & ~inside(time_s, excluded), start_s=session.drift.start_s,
                stop_s=session.drift.stop_s, hr_per_output=slope.value,
            )  # fmt: skip
            held = HeldDrift(drift_pct=found.drift_pct, se_pct=found.se_pct)
        except CoachError:
            held = None
    return SteadyPart(drift=session.drift, held=held)
