"""The steady window of a recording under the present decisions: what it shows, what speaks against it, what it means."""

from collections.abc import Iterable
from dataclasses import replace

import numpy as np

from coachlib.analysis.recording.detected import Detected
from coachlib.analysis.recording.judged import SteadyStretch
from coachlib.analysis.recording.output import OutputSeries, usual_heart_rate_slope
from coachlib.errors import CoachError
from coachlib.measures.common.codes import Code, Finding, code, found
from coachlib.measures.common.sampling import time_weights
from coachlib.measures.common.spans import Span, Stretch, inside
from coachlib.measures.drift_test import validity
from coachlib.measures.drift_test.constant_output import (
    ConstantOutputDrift,
    drift_at_constant_output,
    drift_meaning,
)
from coachlib.measures.drift_test.decoupling import Decoupling, decoupling
from coachlib.measures.drift_test.drift import (
    MIN_MAP_WINDOW_S,
    HeartRateDrift,
    drift_map,
    heart_rate_drift,
    scaled_criterion_pct,
)
from coachlib.measures.output.slopes import HeartRateSlope
from coachlib.measures.recording import artefacts, steady
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Exclusion
from coachlib.records.diary import DiaryRow

METHOD = "drift test 3"
#: Cells of the map of windows along each side, at most.  Own choice: each is still seen.
MAP_CELLS = 40
#: Reasons that are information: they move no drift, or may be a true response.
INFORMATION = frozenset({"flat", "dip"})
#: Without a slope for the sport a larger change of output decides nothing. [%]  Own choice.
UNKNOWN_SLOPE_CHANGE_PCT = 2.0


def judge_stretch(
    activity: Activity,
    decisions: Decisions,
    detected: Detected,
    window: Span,
    *,
    window_from: str,
    criterion_pct: float,
    diary_row: DiaryRow | None,
    slope: HeartRateSlope | None = None,
    on_medicine: bool = False,
    is_ill: bool = False,
    second_bpm: float | None = None,
) -> SteadyStretch:
    """Say what a steady window shows; exactly the exclusions of heart rate in the decisions are left out.

    Parameters
    ----------
    activity, decisions, detected
        As for ``judge``.
    window : Span
        The window.
    window_from : str
        "decisions" or "suggestion".
    criterion_pct : float
        Drift over 60 min that marks the first threshold. [%]  5 % is common practice, no source.
    diary_row : DiaryRow or None
        What the athlete wrote.
    slope : HeartRateSlope, optional
        The athlete's own slope of heart rate on output; the usual one of the sport where not given.
    on_medicine : bool
        Whether medicine slows the heart that day: then drift means nothing here.
    is_ill : bool
        Whether the day lies in an illness; what the athlete wrote that day counts beside it.
    second_bpm : float, optional
        The second threshold of that day. [1/min]

    Raises
    ------
    TooLittleData
        When the window has too little usable heart rate for a drift.

    Source
    ------
    The pieces carry their own sources, see ``measures.drift_test``.  No verdict under medicine that slows the heart:
    Mitchell et al. (2025), Eur J Appl Physiol, doi 10.1007/s00421-025-05818-x (heart rate 36.5 bpm lower).
    """
    samples = activity.samples
    time_s, hr_bpm = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
    exclusions = [e for e in decisions.exclusions if e.quantity == "hr_bpm"]
    used = ~inside(time_s, exclusions)
    drift = heart_rate_drift(time_s, hr_bpm, used, start_s=window.start_s, stop_s=window.stop_s)
    waiting = _unanswered(decisions, window, exclusions, detected)
    temperature_c, temperature_from = _temperature(activity, diary_row, window)
    held, output_caveats = _held(activity, used, window, detected, slope)
    unwell = _unwell(diary_row, is_ill=is_ill)
    findings = _findings(
        activity, used, drift, window, detected, exclusions, waiting, criterion_pct, temperature_c, unwell
    )
    return SteadyStretch(
        window=window,
        window_from=window_from,
        drift=drift,
        held=held,
        decoupling=_decoupling(activity, used, window, detected.output),
        findings=findings,
        meaning=_meaning(
            drift, held, findings, detected, window, criterion_pct=criterion_pct, on_medicine=on_medicine
        ),
        criterion_pct=criterion_pct,
        window_criterion_pct=scaled_criterion_pct(criterion_pct, window.length_s),
        suggestions=waiting,
        excluded_s=_covered_s(window, exclusions),
        temperature_c=temperature_c,
        temperature_from=temperature_from,
        **_settings(decisions, window, time_s, detected.output),
        above_second_s=_above_s(time_s, hr_bpm, used, window, second_bpm),
        method=METHOD,
        caveats=(
            *drift.caveats,
            *output_caveats,
            *_caveats(detected, window, temperature_c, temperature_from),
        ),
    )


def _findings(
    activity: Activity,
    used: np.ndarray,
    drift: HeartRateDrift,
    window: Span,
    detected: Detected,
    exclusions: list[Exclusion],
    waiting: tuple[Span, ...],
    criterion_pct: float,
    temperature_c: float | None,
    unwell: Finding | None,
) -> tuple[Finding, ...]:
    """What speaks against the test, the weightiest first."""
    time_s, hr_bpm = activity.samples["time_s"].to_numpy(), activity.samples["hr_bpm"].to_numpy()
    reach = _reach(window, detected, float(time_s[-1]) + 1.0)
    doubts = (
        unwell,
        validity.setting_changed(window, detected.changes_s, is_sure=detected.changes_sure),
        validity.uneven_heart_rate(drift),
        _uneven_output(time_s, window, detected),
        validity.window_length(drift, criterion_pct=criterion_pct),
        validity.left_out(drift),
        validity.odd_drift(drift),
        validity.warm_up(window, reach.start_s),
        validity.pause_inside(window, detected.pauses, exclusions),
        validity.strap(window, detected.suggestions, like_cadence=detected.like_cadence),
        validity.heat(drift, temperature_c),
        validity.open_suggestions(s for s in waiting if s.reason not in INFORMATION),
        validity.window_sensitivity(
            time_s,
            hr_bpm,
            used,
            window=window,
            reach=reach,
            interval_pct=drift.drift_high_pct - drift.drift_low_pct,
        ),
    )
    weight = ("void", "doubt", "note")
    return tuple(sorted((f for f in doubts if f), key=lambda f: weight.index(f.severity)))


def _unwell(diary_row: DiaryRow | None, *, is_ill: bool) -> Finding | None:
    """Whether illness or pain of the day speaks against what heart rate shows."""
    health = diary_row.health if diary_row else None
    if is_ill or health == "ill":
        return found("ill that day", "void")
    return found("pain that day", "doubt") if health == "pain" else None


def _meaning(
    drift: HeartRateDrift,
    held: ConstantOutputDrift | None,
    findings: tuple[Finding, ...],
    detected: Detected,
    window: Span,
    *,
    criterion_pct: float,
    on_medicine: bool,
) -> Code:
    """On which side of the criterion the test lies, or why that cannot be told."""
    if on_medicine:
        return code("medicine slows the heart")
    if any(f.severity == "void" for f in findings):
        return code("void")
    output = detected.output
    if held is None and output is not None and not output.is_set:
        change = _change_pct(output, window, detected)
        if change is None or abs(change) > UNKNOWN_SLOPE_CHANGE_PCT:
            return code("output not allowed for", output_change_pct=change)
    return drift_meaning(drift, held, criterion_pct=criterion_pct, setting_known=output is not None)


def _change_pct(output: OutputSeries, window: Span, detected: Detected) -> float | None:
    """Output of the second half against the first, where nothing is known of how heart rate follows it. [%]"""
    middle = (window.start_s + window.stop_s) / 2
    halves = []
    for start_s, stop_s in ((window.start_s, middle), (middle, window.stop_s)):
        here = output.values[inside(detected.time_s, [Span(start_s=start_s, stop_s=stop_s)])]
        here = here[np.isfinite(here)]
        if not here.size or not here.mean() > 0:
            return None
        halves.append(float(here.mean()))
    return 100 * (halves[1] / halves[0] - 1)


def _held(
    activity: Activity, used: np.ndarray, window: Span, detected: Detected, slope: HeartRateSlope | None
) -> tuple[ConstantOutputDrift | None, tuple[Code, ...]]:
    """Drift at constant output; None where output is a typed-in setting, unknown, or its slope is."""
    output = detected.output
    if output is None or output.is_set:
        return None, ()
    slope = slope or usual_heart_rate_slope(activity.sport, output.unit)
    if slope is None:
        return None, ()
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    speed = samples["speed_mps"].to_numpy()
    is_flat_equivalent = output.kind == "flat-equivalent speed"
    try:
        held = drift_at_constant_output(
            time_s,
            samples["hr_bpm"].to_numpy(),
            output.values,
            used,
            start_s=window.start_s,
            stop_s=window.stop_s,
            slope=slope.mean,
            slope_sd=slope.sd,
            raw_speed_mps=speed if is_flat_equivalent else None,
            hills_unknown=output.kind == "speed" and not activity.is_indoor,
        )
    except CoachError:
        return None, (code("output missing in the window"),)
    return held, held.caveats


def _reach(window: Span, detected: Detected, end_s: float) -> Span:
    """The stretch at one setting, without a long pause, about the middle of the window."""
    long_pauses = [p for p in detected.pauses if p.stop_s - p.start_s > steady.LONG_PAUSE_S]
    early = window.start_s + validity.EDGE_S
    late = window.stop_s - validity.EDGE_S
    starts = [0.0, *detected.changes_s, *(p.stop_s for p in long_pauses)]
    stops = [end_s, *detected.changes_s, *(p.start_s for p in long_pauses)]
    return Span(
        start_s=max(s for s in starts if s <= early) if early >= 0 else 0.0,
        stop_s=min((s for s in stops if s >= late), default=end_s),
    )


def _uneven_output(time_s: np.ndarray, window: Span, detected: Detected) -> Finding | None:
    """Whether measured output wandered; a typed-in setting does not."""
    output = detected.output
    if output is None or output.is_set:
        return None
    scatter = steady.output_scatter(time_s, output.values, window=window, pauses=detected.pauses)
    return validity.uneven_output(scatter, is_power=output.unit == "W")


def effects_pct(
    detected: Detected, decisions: Decisions, window: Stretch, stretches: Iterable[Stretch]
) -> tuple[float | None, ...]:
    """What each stretch adds to the drift of a window where it counts; None for those outside. [percentage points]

    Everything else that the decisions leave out stays left out.
    """
    samples = detected.activity.samples
    near = inside(detected.time_s, [window])
    time_s, hr_bpm = (samples[name].to_numpy()[near] for name in ("time_s", "hr_bpm"))
    gone = [e for e in decisions.exclusions if e.quantity == "hr_bpm"]

    def effect(stretch: Stretch) -> float | None:
        if not _meet(stretch, window):
            return None
        others = [e for e in gone if (e.start_s, e.stop_s) != (stretch.start_s, stretch.stop_s)]
        counted = np.where(inside(time_s, others), np.nan, hr_bpm)
        return artefacts.effect_pct(time_s, counted, stretch, window)

    return tuple(effect(stretch) for stretch in stretches)


def drift_of_windows(detected: Detected, decisions: Decisions) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Starts and ends [s] of windows over the whole recording, and the drift of each under the decisions [%].

    A window that is judged has the drift that stands here.
    """
    samples = detected.activity.samples
    last_s = float(np.floor(detected.time_s[-1])) + 1.0
    step_s = max(60.0, float(np.ceil(last_s / MAP_CELLS / 60)) * 60)
    starts_s = np.arange(0.0, last_s - MIN_MAP_WINDOW_S + 1, step_s)
    stops_s = np.arange(MIN_MAP_WINDOW_S, last_s + 1, step_s)
    used = ~inside(detected.time_s, [e for e in decisions.exclusions if e.quantity == "hr_bpm"])
    hr_bpm = samples["hr_bpm"].to_numpy()
    return starts_s, stops_s, drift_map(detected.time_s, hr_bpm, used, starts_s=starts_s, stops_s=stops_s)


def _above_s(
    time_s: np.ndarray, hr_bpm: np.ndarray, used: np.ndarray, window: Span, second_bpm: float | None
) -> float | None:
    """How long heart rate lay above the second threshold; None without one."""
    if second_bpm is None:
        return None
    is_above = inside(time_s, [window]) & used & (np.nan_to_num(hr_bpm) > second_bpm)
    return float(time_weights(time_s, is_above).sum())


def _unanswered(
    decisions: Decisions, window: Span, exclusions: list[Exclusion], detected: Detected
) -> tuple[Span, ...]:
    """Suggestions in the window that are not left out yet, with what each adds to the drift."""
    waiting = [
        s for s in detected.suggestions if _meet(s, window) and _covered_s(s, exclusions) < 0.5 * s.length_s
    ]
    effects = effects_pct(detected, decisions, window, waiting)
    return tuple(replace(span, effect_pct=effect) for span, effect in zip(waiting, effects, strict=True))


def _covered_s(stretch: Stretch, others: Iterable[Stretch]) -> float:
    """Seconds of a stretch that lie in any of the others."""
    edges = sorted((max(o.start_s, stretch.start_s), min(o.stop_s, stretch.stop_s)) for o in others)
    covered, until = 0.0, stretch.start_s
    for start, stop in edges:
        covered += max(0.0, stop - max(start, until))
        until = max(until, stop)
    return covered


def _meet(one: Stretch, other: Stretch) -> bool:
    return one.start_s < other.stop_s and other.start_s < one.stop_s


def _temperature(
    activity: Activity, diary_row: DiaryRow | None, window: Span
) -> tuple[float | None, str | None]:
    """Air temperature from the diary, else what the device felt."""
    if diary_row is not None and diary_row.temperature_c is not None:
        return diary_row.temperature_c, "diary"
    felt = activity.samples["temperature_c"].to_numpy()[
        inside(activity.samples["time_s"].to_numpy(), [window])
    ]
    felt = felt[np.isfinite(felt)]
    return (float(np.median(felt)), "device") if felt.size else (None, None)


def _decoupling(
    activity: Activity, used: np.ndarray, window: Span, output: OutputSeries | None
) -> Decoupling | None:
    """Loss of output per beat; None where output is a typed-in setting, since that is drift once more."""
    if output is None or output.is_set:
        return None
    moving = used & (np.nan_to_num(output.values) > 0)
    columns = activity.samples["time_s"].to_numpy(), activity.samples["hr_bpm"].to_numpy(), output.values
    try:
        return decoupling(*columns, moving, start_s=window.start_s, stop_s=window.stop_s)
    except CoachError:
        return None


def _settings(
    decisions: Decisions | None, window: Span, time_s: np.ndarray, output: OutputSeries | None
) -> dict[str, float | None]:
    """The setting of the window: the typed-in stage at its middle, else the mean of what was measured."""
    middle = (window.start_s + window.stop_s) / 2
    for stage in decisions.stages if decisions else ():
        if stage.start_s <= middle < stage.stop_s:
            return {"speed_mps": stage.speed_mps, "grade": stage.grade, "power_w": stage.power_w}
    mean = None
    if output is not None:
        here = output.values[inside(time_s, [window])]
        here = here[np.isfinite(here)]
        mean = float(here.mean()) if here.size else None
    is_power = output is not None and output.unit == "W"
    return {"speed_mps": None if is_power else mean, "grade": None, "power_w": mean if is_power else None}


def _caveats(
    detected: Detected, window: Span, temperature_c: float | None, temperature_from: str | None
) -> tuple[Code, ...]:
    said = list(dict.fromkeys(odd.code for odd in detected.odd if _meet(odd.span, window)))
    if detected.output is None:
        said.append(code("held not known"))
    if temperature_c is None:
        said.append(code("temperature not known"))
    elif temperature_from == "device":
        said.append(code("temperature from device", temperature_c=temperature_c))
    return tuple(said)
