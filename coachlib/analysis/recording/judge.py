"""One recording, the coach's decisions on it and the athlete of that day: the one judgement that every page reads.

Finding artefacts and changes of setting takes a hundred times as long as the rest and depends on the recording
alone: ``detected.detect`` does it once, ``judge`` answers every edit of the decisions.
"""

from collections.abc import Iterable
from datetime import date

import numpy as np

from coachlib.analysis.recording import totals
from coachlib.analysis.recording.dating import is_utc_taken
from coachlib.analysis.recording.detected import Detected, detect
from coachlib.analysis.recording.domains import DomainTime, domain_time
from coachlib.analysis.recording.gear import gear_of
from coachlib.analysis.recording.judged import JudgedRecording, SteadyStretch
from coachlib.analysis.recording.level import level_of
from coachlib.analysis.recording.steady_stretch import INFORMATION, judge_stretch
from coachlib.errors import CoachError, TooLittleData
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.sampling import weighted_mean
from coachlib.measures.common.spans import Span, Stretch, inside
from coachlib.measures.drift_test.drift import HeartRateDrift, heart_rate_drift
from coachlib.measures.output.slopes import HeartRateSlope
from coachlib.measures.recording import steady
from coachlib.measures.week import load
from coachlib.records.activity import Activity
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.decisions import UNSTEADY_KINDS, Decisions, Exclusion, Purpose, Window
from coachlib.records.diary import DiaryRow

#: Rises when the judgement of the same recording changes; kept judgements of another number are made anew.
METHOD = "judged recording 3"
#: Heart rate must be there for this share of the moving time before domains and load are told.  Own choice.
MIN_HR_FRAC = 0.5


def judge(
    recording: str,
    activity: Activity,
    decisions: Decisions | None,
    athlete: Athlete,
    diary_row: DiaryRow | None = None,
    *,
    detected: Detected | None = None,
    criterion_pct: float = 5.0,
    time_zone: str | None = None,
    slope: HeartRateSlope | None = None,
) -> JudgedRecording:
    """Judge one session of a recording.

    Parameters
    ----------
    recording : str
        The recording's name, for reference.
    activity, decisions, athlete, diary_row
        The records; decisions and diary row may be missing.
    detected : Detected, optional
        From ``detect`` with the same stages; else it is found here.
    criterion_pct : float
        Drift over 60 min that marks the first threshold. [%]  5 % is common practice, no source.
    time_zone : str, optional
        IANA name of the zone that gives the local day.
    slope : HeartRateSlope, optional
        The athlete's own slope of heart rate on output.

    Returns
    -------
    JudgedRecording
        All means are time-weighted and none crosses a pause.  Without a steady window in the decisions the
        suggested one is judged, with what ``begun`` leaves out.

    Source
    ------
    The pieces carry their own sources: ``measures.drift_test``, ``measures.week.load``, ``measures.output.energy``.

    Examples
    --------
    See the README's "From Python".
    """
    detected = detected or detect(activity, decisions, hr_max_bpm=athlete.hr_max_bpm)
    activity = detected.activity
    zone = time_zone or athlete.time_zone
    on = activity.started_on(zone)
    kind = (decisions.kind if decisions else None) or (diary_row.kind if diary_row else None)
    stretch, not_steady = _steady(
        activity, decisions, detected, kind, criterion_pct=criterion_pct, diary_row=diary_row, slope=slope,
        on_medicine=athlete.medicine_on(on), second=athlete.threshold_on("second", on, activity.sport),
        is_ill=any(block.kind == "ill" for block in athlete.blocks_on(on)),
    )  # fmt: skip
    samples = activity.samples
    time_s, hr_bpm = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
    exclusions = decisions.exclusions if decisions else ()
    left_out = inside(time_s, [e for e in exclusions if e.quantity == "hr_bpm"])
    beating = np.isfinite(hr_bpm)
    running = totals.running_weights(activity)
    moving = totals.moving_weights(activity, running)
    hr_weights = np.where(beating & ~left_out, running, 0.0)
    hr_s, moving_s = float(hr_weights.sum()), float(moving.sum())
    enough_hr = hr_s >= MIN_HR_FRAC * moving_s and hr_s > 0
    at_bpm = totals.seconds_at_each_bpm(hr_bpm, hr_weights)
    climb_m, climb_from = totals.climb_of(activity, decisions)
    rpe = diary_row.rpe if diary_row else None
    output = detected.output
    equipment = (diary_row.equipment or "") if diary_row else ""
    return JudgedRecording(
        recording=recording,
        sha256=activity.sha256,
        part=activity.part,
        started_at=activity.started_at,
        local_start=activity.local_start(zone),
        on=on,
        sport=activity.sport,
        sub_sport=activity.sub_sport,
        is_indoor=activity.is_indoor,
        kind=kind,
        decided=decisions is not None,
        row=diary_row,
        elapsed_s=activity.elapsed_s,
        moving_s=moving_s,
        distance_m=totals.distance_of(activity, decisions),
        climb_m=climb_m,
        climb_from=climb_from,
        hr_mean_bpm=weighted_mean(hr_bpm, hr_weights) if hr_s else None,
        hr_top_bpm=totals.sustained_top(time_s, hr_bpm, hr_weights),
        hr_s=hr_s,
        hr_missing_s=float(np.where(~beating & ~left_out, moving, 0.0).sum()),
        seconds_at_bpm=at_bpm if enough_hr else (),
        minute_bpm=totals.minute_means(time_s, hr_bpm, hr_weights),
        domains=_domains(at_bpm, athlete, on, activity.sport) if enough_hr else None,
        output=totals.output_summary(output, moving),
        level=level_of(activity, decisions, output, pauses=detected.pauses, suggestions=detected.suggestions),
        pace=totals.pace_beside_power(activity, output, moving),
        steady=stretch,
        not_steady=not_steady,
        trial=_trial(activity, decisions),
        excluded_s=float(np.where(beating & left_out, running, 0.0).sum()),
        exclusions=tuple(e.reason for e in exclusions),
        n_suggestions=_open_ones(stretch),
        trimp=_trimp(time_s, hr_bpm, hr_weights > 0, athlete) if enough_hr else None,
        rpe_load=load.session_rpe_load(rpe, float(running.sum()) / 60) if rpe is not None else None,
        gear=gear_of(activity, equipment, unit="m/s" if output is None else output.unit),
        device=activity.device,
        caveats=_caveats(activity, detected, zone, hr_s, moving_s, is_enough=enough_hr),
    )


def main_window(decisions: Decisions | None) -> Window | None:
    """The window the judgement uses: the first steady stretch or trial; None where there is none."""
    windows = decisions.windows if decisions else ()
    return next((w for w in windows if w.purpose in ("steady", "trial")), None)


def suggested_window(detected: Detected) -> Span | None:
    """The window to begin with; None where the recording has no steady stretch."""
    return detected.window if detected.not_steady is None else None


def suggested_pauses(detected: Detected) -> tuple[Exclusion, ...]:
    """Pauses in the suggested window, with what follows them: left out along with the suggestion."""
    window = suggested_window(detected)
    return tuple(
        Exclusion(start_s=s.start_s, stop_s=s.stop_s, reason=s.reason, found_by=steady.METHOD)
        for s in detected.suggestions
        if window and s.reason == "pause" and s.start_s < window.stop_s and window.start_s < s.stop_s
    )


def begun(decisions: Decisions, window: Stretch | None, left_out: Iterable[Exclusion]) -> Decisions:
    """Decisions with the suggested window and what is left out with it, where no window is set.

    This is what is judged while nobody has decided, and where editing begins.
    """
    if window is None or main_window(decisions) is not None:
        return decisions
    purpose: Purpose = "trial" if decisions.kind in ("time trial", "critical trial") else "steady"
    added = Window(start_s=window.start_s, stop_s=window.stop_s, purpose=purpose)
    new = [e for e in left_out if not any(_meet(e, other) for other in decisions.exclusions)]
    exclusions = tuple(sorted((*decisions.exclusions, *new), key=lambda e: (e.start_s, e.stop_s)))
    return decisions.model_copy(update={"windows": (*decisions.windows, added), "exclusions": exclusions})


def _meet(one: Stretch, other: Stretch) -> bool:
    return one.start_s < other.stop_s and other.start_s < one.stop_s


def _steady(
    activity: Activity,
    decisions: Decisions | None,
    detected: Detected,
    kind: str | None,
    *,
    criterion_pct: float,
    diary_row: DiaryRow | None,
    slope: HeartRateSlope | None,
    on_medicine: bool,
    is_ill: bool,
    second: Threshold | None,
) -> tuple[SteadyStretch | None, Code | None]:
    """The steady stretch, or why there is none."""
    if detected.window is None:
        return None, code("no heart rate")
    if kind in UNSTEADY_KINDS:
        return None, code("kind not steady", kind=kind)
    decided = main_window(decisions)
    if decided is None and detected.not_steady is not None:
        return None, detected.not_steady
    saved = decisions or Decisions(fit_sha256=activity.sha256)
    judged = begun(saved, suggested_window(detected), suggested_pauses(detected))
    window = main_window(judged)
    if window is None:
        return None, detected.not_steady
    try:
        return judge_stretch(
            activity, judged, detected, Span(start_s=window.start_s, stop_s=window.stop_s),
            window_from="suggestion" if decided is None else "decisions", criterion_pct=criterion_pct,
            diary_row=diary_row, slope=slope, on_medicine=on_medicine, is_ill=is_ill,
            second_bpm=None if second is None else second.hr_bpm,
        ), None  # fmt: skip
    except TooLittleData as refusal:
        return None, code("too little heart rate", sentence=str(refusal))


def _trial(activity: Activity, decisions: Decisions | None) -> HeartRateDrift | None:
    """The halves of a trial's window."""
    window = main_window(decisions)
    if decisions is None or window is None or window.purpose != "trial":
        return None
    time_s, hr_bpm = activity.samples["time_s"].to_numpy(), activity.samples["hr_bpm"].to_numpy()
    used = ~inside(time_s, [e for e in decisions.exclusions if e.quantity == "hr_bpm"])
    try:
        return heart_rate_drift(time_s, hr_bpm, used, start_s=window.start_s, stop_s=window.stop_s)
    except CoachError:
        return None


def _open_ones(stretch: SteadyStretch | None) -> int:
    """Suggested stretches of the window that wait for an answer."""
    return 0 if stretch is None else sum(s.reason not in INFORMATION for s in stretch.suggestions)


def _domains(seconds_at_bpm: tuple[float, ...], athlete: Athlete, on: date, sport: str) -> DomainTime | None:
    """Seconds in the domains by the thresholds of that day and sport; none by a bound, or where heart rate misleads."""
    first, second = (athlete.threshold_on(which, on, sport) for which in ("first", "second"))
    if first is None or athlete.by_effort_on(on):
        return None
    return domain_time(seconds_at_bpm, first.hr_bpm, second.hr_bpm if second else None)


def _trimp(time_s: np.ndarray, hr_bpm: np.ndarray, used: np.ndarray, athlete: Athlete) -> float | None:
    """Banister's load where the athlete's heart-rate range and sex are known."""
    if athlete.hr_max_bpm is None or athlete.hr_rest_bpm is None or athlete.sex is None:
        return None
    return load.banister_trimp(
        time_s, hr_bpm, used, hr_rest_bpm=athlete.hr_rest_bpm, hr_max_bpm=athlete.hr_max_bpm, sex=athlete.sex
    )


def _caveats(
    activity: Activity, detected: Detected, zone: str | None, hr_s: float, moving_s: float, *, is_enough: bool
) -> tuple[Code, ...]:
    """What was salvaged, skipped or odd in the recording."""
    found = [*activity.caveats, *dict.fromkeys(odd.code for odd in detected.odd)]
    if is_utc_taken(activity, zone):
        found.append(code("utc taken"))
    if hr_s and not is_enough:
        found.append(code("too little heart rate for load", hr_s=hr_s, moving_s=moving_s))
    return tuple(found)
