"""One recording, the coach's decisions on it and the athlete of that day: what the session was."""

from dataclasses import dataclass
from datetime import date, datetime

import numpy as np

from coachlib.analysis.recording.domains import DomainTime, domain_time
from coachlib.analysis.recording.output import OutputSeries, output_of
from coachlib.errors import CoachError
from coachlib.measures.common.codes import Code
from coachlib.measures.common.sampling import time_weights, weighted_mean
from coachlib.measures.common.spans import Span, inside
from coachlib.measures.drift_test.decoupling import decoupling
from coachlib.measures.drift_test.drift import HeartRateDrift, heart_rate_drift
from coachlib.measures.output import energy, treadmill
from coachlib.measures.recording import artefacts, steady
from coachlib.measures.week import load
from coachlib.records.activity import Activity
from coachlib.records.athlete import Athlete
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow

#: Below this an athlete outdoors stands still. [m/s]  Own choice: slower than the slowest walk uphill.
STANDING_MPS = 0.3
#: Heart rate must be there for this share of the moving time before domains and load are told.  Own choice.
MIN_HR_FRAC = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputSummary:
    """Mean output while moving: which quantity, its unit, its value."""

    kind: str
    unit: str
    mean: float
    is_set: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class SessionResult:
    """What one session was.  Seconds, metres, beats per minute; None where it cannot be told.

    ``decided`` says whether the coach has saved decisions for the recording; where not, ``window_from``
    says that the steady stretch is a suggestion.  ``not_steady`` says in words why there is no drift.
    """

    recording: str
    sha256: str
    started_at: datetime
    local_start: datetime
    on: date
    sport: str
    sub_sport: str
    is_indoor: bool
    kind: str | None
    planned: str | None
    decided: bool
    elapsed_s: float
    moving_s: float
    distance_m: float | None
    climb_m: float | None
    climb_from: str | None
    hr_mean_bpm: float | None
    hr_top_bpm: float | None
    hr_s: float
    seconds_at_bpm: tuple[float, ...]
    minute_bpm: tuple[float | None, ...]
    domains: DomainTime | None
    output: OutputSummary | None
    drift: HeartRateDrift | None
    decoupling_pct: float | None
    window_from: str | None
    not_steady: str | None
    excluded_s: float
    exclusions: tuple[str, ...]
    n_suggestions: int
    suggestions_pct: float | None
    trimp: float | None
    rpe: float | None
    rpe_load: float | None
    talk: str | None
    health: str | None
    temperature_c: float | None
    remarks: str | None
    device: str
    caveats: tuple[Code | str, ...]


def analyse_session(
    recording: str,
    activity: Activity,
    decisions: Decisions | None,
    athlete: Athlete,
    diary_row: DiaryRow | None,
    *,
    time_zone: str | None = None,
) -> SessionResult:
    """Work out everything the weekly letter says about one session.

    Parameters
    ----------
    recording : str
        The recording's name, for reference.
    activity, decisions, athlete, diary_row
        The records; decisions and diary row may be missing.
    time_zone : str, optional
        IANA name of the zone that gives the local day.

    Returns
    -------
    SessionResult
        All means are time-weighted and none crosses a pause.

    Source
    ------
    The pieces carry their own sources: drift and its interval in ``measures.drift_test.drift``, load in
    ``measures.week.load``, flat-equivalent speed in ``measures.output.energy``.
    """
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    hr_bpm = samples["hr_bpm"].to_numpy()
    caveats: list[Code | str] = list(activity.caveats)
    running = running_weights(activity)
    exclusions = decisions.exclusions if decisions else ()
    hr_used = np.isfinite(hr_bpm) & ~inside(time_s, [e for e in exclusions if e.quantity == "hr_bpm"])
    hr_weights = np.where(hr_used, running, 0.0)
    hr_s = float(hr_weights.sum())
    output = output_of(activity, decisions)
    moving = _moving(activity, running)
    on = activity.started_on(time_zone or athlete.time_zone)
    climb, climb_from = _climb(activity, decisions)
    enough_hr = hr_s >= MIN_HR_FRAC * moving.sum() and hr_s > 0
    if hr_s and not enough_hr:
        caveats.append(
            f"heart rate covers {hr_s / 60:.0f} of {moving.sum() / 60:.0f} min: "
            "time below and above the thresholds and load are left out"
        )
    steady_part = _steady_part(activity, decisions, output, hr_used, athlete)
    minutes = running.sum() / 60
    rpe = diary_row.rpe if diary_row else None
    at_bpm = _histogram(hr_bpm, hr_weights)
    return SessionResult(
        recording=recording,
        sha256=activity.sha256,
        started_at=activity.started_at,
        local_start=activity.local_start(time_zone or athlete.time_zone),
        on=on,
        sport=activity.sport,
        sub_sport=activity.sub_sport,
        is_indoor=activity.is_indoor,
        kind=(decisions.kind if decisions else None) or (diary_row.kind if diary_row else None),
        planned=diary_row.planned if diary_row else None,
        decided=decisions is not None,
        elapsed_s=activity.elapsed_s,
        moving_s=float(moving.sum()),
        distance_m=_distance(activity, decisions),
        climb_m=climb,
        climb_from=climb_from,
        hr_mean_bpm=weighted_mean(hr_bpm, hr_weights) if hr_s else None,
        hr_top_bpm=_sustained_top(time_s, hr_bpm, hr_weights),
        hr_s=hr_s,
        seconds_at_bpm=at_bpm if enough_hr else (),
        minute_bpm=_minute_means(time_s, hr_bpm, hr_weights),
        domains=_domains(at_bpm, athlete, on) if enough_hr else None,
        output=_summary(output, moving),
        drift=steady_part.drift,
        decoupling_pct=steady_part.decoupling_pct,
        window_from=steady_part.window_from,
        not_steady=steady_part.why_not,
        excluded_s=float(np.where(np.isfinite(hr_bpm) & ~hr_used, running, 0.0).sum()),
        exclusions=tuple(e.reason or "no reason given" for e in exclusions),
        n_suggestions=steady_part.n_suggestions,
        suggestions_pct=steady_part.suggestions_pct,
        trimp=_trimp(time_s, hr_bpm, hr_weights > 0, athlete) if enough_hr else None,
        rpe=rpe,
        rpe_load=load.session_rpe_load(rpe, minutes) if rpe is not None else None,
        talk=diary_row.talk if diary_row else None,
        health=diary_row.health if diary_row else None,
        temperature_c=diary_row.temperature_c if diary_row else None,
        remarks=diary_row.remarks if diary_row else None,
        device=activity.device,
        caveats=tuple(caveats),
    )


def running_weights(activity: Activity) -> np.ndarray:
    """Seconds each sample stands for while the timer runs: none reaches into a pause. [s], shape (n,)."""
    time_s = activity.samples["time_s"].to_numpy()
    starts = np.sort(activity.pauses["start_s"].to_numpy())
    weights = time_weights(time_s)
    if starts.size:
        following = np.append(starts, np.inf)[np.searchsorted(starts, time_s, side="right")]
        weights = np.minimum(weights, following - time_s)
        paused = np.zeros(time_s.shape, dtype=bool)
        for start, stop in zip(starts, activity.pauses.sort_values("start_s")["stop_s"], strict=True):
            paused |= (time_s > start) & (time_s < stop)
        # a gap nobody explained starts at its last sample, which stands for no time beyond it
        weights = np.where(paused, 0.0, weights)
    return weights


def _moving(activity: Activity, running: np.ndarray) -> np.ndarray:
    """Timer seconds in which the athlete was not standing still (indoors: all of them)."""
    speed = activity.samples["speed_mps"].to_numpy()
    if activity.is_indoor or not np.isfinite(speed).any():
        return running
    return np.where(speed < STANDING_MPS, 0.0, running)


def _distance(activity: Activity, decisions: Decisions | None) -> float | None:
    """Belt distance where speeds were typed in for the whole session, else what the device counted."""
    counted = activity.samples["distance_m"].to_numpy()
    counted = counted[np.isfinite(counted)]
    if counted.size and counted[-1] > 0:
        return float(counted[-1] - counted[0])
    staged = [s for s in (decisions.stages if decisions else ()) if s.speed_mps is not None]
    if staged:
        return sum((s.speed_mps or 0.0) * (s.stop_s - s.start_s) for s in staged)
    return None


def _climb(activity: Activity, decisions: Decisions | None) -> tuple[float | None, str | None]:
    """Metres climbed and where that is known from."""
    staged = [
        s for s in (decisions.stages if decisions else ()) if s.speed_mps is not None and s.grade is not None
    ]
    if staged:
        climbed = sum(
            treadmill.climb((s.speed_mps or 0.0) * (s.stop_s - s.start_s), s.grade or 0.0) for s in staged
        )
        return climbed, "belt speed and grade"
    altitude = activity.samples["altitude_m"].to_numpy()
    if activity.is_indoor or np.isfinite(altitude).mean() < 0.5:
        return None, None
    return energy.climb_m(altitude[np.isfinite(altitude)]), "altitude"


def _sustained_top(time_s: np.ndarray, hr_bpm: np.ndarray, weights_s: np.ndarray) -> float | None:
    """The highest heart rate held for ten seconds, so that one odd record is no maximum."""
    used = weights_s > 0
    if used.sum() < 2:
        return None
    grid = np.arange(time_s[used][0], time_s[used][-1])
    if grid.size < 10:
        return float(hr_bpm[used].min())
    held = np.interp(grid, time_s[used], hr_bpm[used])
    return float(np.lib.stride_tricks.sliding_window_view(held, 10).min(axis=1).max())


def _histogram(hr_bpm: np.ndarray, weights_s: np.ndarray) -> tuple[float, ...]:
    """Seconds at each whole heart rate, index = beats per minute."""
    used = weights_s > 0
    beats = np.rint(hr_bpm[used]).astype(int)
    return tuple(np.bincount(beats, weights=weights_s[used], minlength=1).tolist())


def _domains(seconds_at_bpm: tuple[float, ...], athlete: Athlete, on: date) -> DomainTime | None:
    """Seconds in the domains by the thresholds of that day."""
    first, second = athlete.threshold_on("first", on), athlete.threshold_on("second", on)
    if first is None:
        return None
    return domain_time(seconds_at_bpm, first.hr_bpm, second.hr_bpm if second else None)


def _minute_means(time_s: np.ndarray, hr_bpm: np.ndarray, weights_s: np.ndarray) -> tuple[float | None, ...]:
    """Mean used heart rate of each elapsed minute; None where there is less than half a minute of it."""
    minute = (time_s // 60).astype(int)
    used = weights_s > 0
    size = int(minute[-1]) + 1 if minute.size else 0
    seconds = np.bincount(minute[used], weights=weights_s[used], minlength=size)
    beats = np.bincount(minute[used], weights=(weights_s * np.where(used, hr_bpm, 0.0))[used], minlength=size)
    return tuple(float(b / s) if s >= 30 else None for b, s in zip(beats, seconds, strict=True))


def _summary(output: OutputSeries | None, moving_s: np.ndarray) -> OutputSummary | None:
    """The mean of the output while moving."""
    if output is None:
        return None
    mean = weighted_mean(output.values, moving_s)
    if not np.isfinite(mean):
        return None
    return OutputSummary(kind=output.kind, unit=output.unit, mean=mean, is_set=output.is_set)


def _trimp(time_s: np.ndarray, hr_bpm: np.ndarray, used: np.ndarray, athlete: Athlete) -> float | None:
    """Banister's load where the athlete's heart-rate range and sex are known."""
    if athlete.hr_max_bpm is None or athlete.hr_rest_bpm is None or athlete.sex is None:
        return None
    return load.banister_trimp(
        time_s, hr_bpm, used, hr_rest_bpm=athlete.hr_rest_bpm, hr_max_bpm=athlete.hr_max_bpm, sex=athlete.sex
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _SteadyPart:
    """What the steady stretch of a session says, or why there is none."""

    drift: HeartRateDrift | None = None
    decoupling_pct: float | None = None
    window_from: str | None = None
    why_not: str | None = None
    n_suggestions: int = 0
    suggestions_pct: float | None = None


def _steady_part(
    activity: Activity,
    decisions: Decisions | None,
    output: OutputSeries | None,
    hr_used: np.ndarray,
    athlete: Athlete,
) -> _SteadyPart:
    """Drift and decoupling in the coach's window, else in a suggested one where the session was steady."""
    samples = activity.samples
    time_s, hr_bpm = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
    if not hr_used.any():
        return _SteadyPart(why_not="there is no heart rate")
    pauses = tuple(
        Span(start_s=float(a), stop_s=float(b)) for a, b in activity.pauses[["start_s", "stop_s"]].to_numpy()
    )
    decided = next((w for w in (decisions.windows if decisions else ()) if w.purpose == "steady"), None)
    if decided is not None:
        window, window_from, why_not = Span(start_s=decided.start_s, stop_s=decided.stop_s), "decisions", None
    else:
        changes = tuple(s.start_s for s in decisions.stages) if decisions and decisions.stages else None
        found = steady.steadiness(
            time_s,
            hr_bpm,
            None if output is None else output.values,
            pauses=pauses,
            is_power=output is not None and output.kind == "power",
            changes_s=changes,
        )
        window, window_from = Span(start_s=found.start_s, stop_s=found.stop_s), "suggestion"
        why_not = found.why_not
    if why_not is not None:
        return _SteadyPart(why_not=why_not)
    suggestions = artefacts.suggest_exclusions(
        time_s,
        hr_bpm,
        cadence_rpm=samples["cadence_rpm"].to_numpy(),
        hr_max_bpm=athlete.hr_max_bpm,
        window=window,
        constant=(window,),
    )
    open_ones = [s for s in suggestions if s.reason not in ("flat", "dip") and not _decided(s, decisions)]
    # in the coach's own window only what the coach left out is left out
    settling = () if decided is not None else steady.pauses_with_settling(pauses)
    used = hr_used & ~inside(time_s, settling)
    try:
        result = heart_rate_drift(time_s, hr_bpm, used, start_s=window.start_s, stop_s=window.stop_s)
    except CoachError as problem:
        return _SteadyPart(why_not=str(problem), n_suggestions=len(open_ones))
    return _SteadyPart(
        drift=result,
        decoupling_pct=_decoupling(time_s, hr_bpm, output, used, window),
        window_from=window_from,
        n_suggestions=len(open_ones),
        suggestions_pct=sum(s.effect_pct or 0.0 for s in open_ones) if open_ones else None,
    )


def _decided(span: Span, decisions: Decisions | None) -> bool:
    """Whether the coach already left most of a suggested span out."""
    exclusions = decisions.exclusions if decisions else ()
    covered = sum(
        max(0.0, min(span.stop_s, e.stop_s) - max(span.start_s, e.start_s))
        for e in exclusions
        if e.quantity == "hr_bpm"
    )
    return covered >= 0.5 * span.length_s


def _decoupling(
    time_s: np.ndarray, hr_bpm: np.ndarray, output: OutputSeries | None, used: np.ndarray, window: Span
) -> float | None:
    """Loss of output per beat; None where output is a typed-in setting, since that is drift once more."""
    if output is None or output.is_set:
        return None
    moving = used & (np.nan_to_num(output.values) > 0)
    try:
        return decoupling(
            time_s, hr_bpm, output.values, moving, start_s=window.start_s, stop_s=window.stop_s
        ).loss_pct
    except CoachError:
        return None
