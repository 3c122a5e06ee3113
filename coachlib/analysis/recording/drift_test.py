"""One steady drift test: what its window shows, what speaks against it, and what may be left out.

Finding artefacts and changes of setting takes a hundred times as long as the rest, and depends on the
recording alone: ``detect`` does it once, ``judge`` answers every edit of the decisions.
"""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from coachlib.analysis.recording.output import OutputSeries, output_of
from coachlib.errors import CoachError, UnfitTest
from coachlib.measures.common.spans import Span, Stretch, inside
from coachlib.measures.drift_test import validity
from coachlib.measures.drift_test.decoupling import Decoupling, decoupling, drift_corrected_for_output
from coachlib.measures.drift_test.drift import (
    HeartRateDrift,
    against_criterion,
    heart_rate_drift,
    scaled_criterion_pct,
)
from coachlib.measures.drift_test.validity import Finding
from coachlib.measures.drift_test.verdict import verdict
from coachlib.measures.recording import artefacts, steady
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions
from coachlib.records.diary import DiaryRow

METHOD = "drift test 1"
#: Reasons that are information: they move no drift, or may be a true response.
INFORMATION = frozenset({"flat", "dip"})
#: Settings of touching stages that differ by less are one setting. [m/s], [rise over run], [W]
SAME_SETTING = {"speed_mps": 0.01, "grade": 0.0005, "power_w": 0.5}


@dataclass(frozen=True, kw_only=True, eq=False)
class Detected:
    """What a recording and its typed-in stages show before any window is chosen.

    ``suggestions`` are artefact spans and pauses with their settling; ``changes_s`` changes of setting,
    ``held_known`` whether anything tells them, ``changes_sure`` whether they are typed in or from indoors.
    """

    output: OutputSeries | None
    changes_s: tuple[float, ...]
    held_known: bool
    changes_sure: bool
    pauses: tuple[Span, ...]
    suggestions: tuple[Span, ...]
    window: Span
    like_cadence: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftTestResult:
    """One drift test as the decisions have it, or, where there are none, as it is suggested.

    ``window_from`` is "decisions" or "suggestion".  ``where`` is "below", "near" or "above" the criterion,
    "cannot tell" where a finding makes the test void.  ``corrected`` is drift without what a change of
    output explains, ``suggestions`` the unanswered ones in the window with their effect.
    """

    window: Span
    window_from: str
    drift: HeartRateDrift
    where: str
    criterion_pct: float
    window_criterion_pct: float
    corrected: HeartRateDrift | None
    decoupling: Decoupling | None
    findings: tuple[Finding, ...]
    verdict: str
    suggestions: tuple[Span, ...]
    excluded_s: float
    exclusions: tuple[str, ...]
    temperature_c: float | None
    temperature_from: str | None
    speed_mps: float | None
    grade: float | None
    power_w: float | None
    method: str
    caveats: tuple[str, ...]

    @property
    def is_void(self) -> bool:
        """Whether a finding leaves no result."""
        return any(f.severity == "void" for f in self.findings)


def analyse_drift_test(
    activity: Activity,
    decisions: Decisions | None,
    *,
    criterion_pct: float = 5.0,
    diary_row: DiaryRow | None = None,
    hr_max_bpm: float | None = None,
    hr_per_output: float | None = None,
) -> DriftTestResult:
    """Detect and judge in one go: see ``detect`` and ``judge``.

    Parameters
    ----------
    activity : Activity
        The recording.
    decisions : Decisions, optional
        What the coach decided; without a steady window in them the suggested one is judged.
    criterion_pct : float
        Drift over 60 min that marks the first threshold. [%]  5 % is common practice, no source.
    diary_row : DiaryRow, optional
        What the athlete wrote.
    hr_max_bpm : float, optional
        The athlete's maximum. [1/min]
    hr_per_output : float, optional
        The athlete's own slope of heart rate over output. [1/min per m/s or W]

    Raises
    ------
    TooLittleData
        When the window has too little usable heart rate for a drift.

    Source
    ------
    The pieces carry their own sources: ``measures.drift_test.drift``, ``measures.drift_test.validity``.
    """
    return judge(
        activity,
        decisions,
        detect(activity, decisions, hr_max_bpm=hr_max_bpm),
        criterion_pct=criterion_pct,
        diary_row=diary_row,
        hr_per_output=hr_per_output,
    )


def detect(
    activity: Activity, decisions: Decisions | None = None, *, hr_max_bpm: float | None = None
) -> Detected:
    """Find changes of setting, pauses, artefacts and a window to begin with.

    Parameters
    ----------
    activity : Activity
        The recording.
    decisions : Decisions, optional
        Only the stages matter: where some are typed in, they tell the changes of setting.
    hr_max_bpm : float, optional
        The athlete's maximum. [1/min]

    Raises
    ------
    UnfitTest
        When the recording holds no heart rate.

    Source
    ------
    See ``measures.recording.artefacts`` and ``measures.recording.steady``.
    """
    samples = activity.samples
    time_s, hr_bpm = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
    if not np.isfinite(hr_bpm).any():
        raise UnfitTest(
            "a drift test needs heart rate; this recording has none. Pair the strap with the watch before the next test."
        )
    cadence = samples["cadence_rpm"].to_numpy()
    output = output_of(activity, decisions)
    changes = changes_of_setting(time_s, output, decisions, is_indoor=activity.is_indoor)
    pauses = tuple(
        Span(start_s=float(a), stop_s=float(b)) for a, b in activity.pauses[["start_s", "stop_s"]].to_numpy()
    )
    edges = sorted({float(time_s[0]), *changes, *(p.stop_s for p in pauses), float(time_s[-1]) + 1.0})
    found = artefacts.suggest_exclusions(
        time_s,
        hr_bpm,
        cadence_rpm=cadence,
        hr_max_bpm=hr_max_bpm,
        constant=tuple(Span(start_s=a, stop_s=b) for a, b in pairwise(edges)),
    )
    found += steady.pauses_with_settling(pauses)
    return Detected(
        output=output,
        changes_s=changes,
        held_known=output is not None,
        changes_sure=activity.is_indoor or bool(decisions and decisions.stages),
        pauses=pauses,
        suggestions=tuple(sorted(found, key=lambda s: s.start_s)),
        window=steady.suggest_window(time_s, hr_bpm, pauses=pauses, changes_s=changes),
        like_cadence=bool(np.isfinite(cadence).any())
        and artefacts.cannot_be_told_from_cadence(time_s, hr_bpm, cadence),
    )


def judge(
    activity: Activity,
    decisions: Decisions | None,
    detected: Detected,
    *,
    criterion_pct: float = 5.0,
    diary_row: DiaryRow | None = None,
    hr_per_output: float | None = None,
) -> DriftTestResult:
    """Say what the window shows under the present decisions; suggestions are shown, never applied.

    Parameters
    ----------
    activity, decisions
        As for ``analyse_drift_test``; exactly the exclusions of heart rate in the decisions are left out.
    detected : Detected
        From ``detect`` with the same stages.
    criterion_pct, diary_row, hr_per_output
        As for ``analyse_drift_test``.

    Raises
    ------
    TooLittleData
        When the window has too little usable heart rate for a drift.

    Source
    ------
    See ``analyse_drift_test``.
    """
    samples = activity.samples
    time_s, hr_bpm = samples["time_s"].to_numpy(), samples["hr_bpm"].to_numpy()
    window, window_from = _window(decisions, detected)
    exclusions = [e for e in (decisions.exclusions if decisions else ()) if e.quantity == "hr_bpm"]
    used = ~inside(time_s, exclusions)
    ends = {"start_s": window.start_s, "stop_s": window.stop_s}
    drift = heart_rate_drift(time_s, hr_bpm, used, **ends)
    waiting = _unanswered(time_s, np.where(used, hr_bpm, np.nan), window, exclusions, detected)
    temperature_c, temperature_from = _temperature(activity, diary_row, window)
    reach = _reach(window, detected, float(time_s[-1]) + 1.0)
    doubts = (
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
    findings = tuple(
        sorted((f for f in doubts if f), key=lambda f: ("void", "doubt", "note").index(f.severity))
    )
    void = any(f.severity == "void" for f in findings)
    decoupled, corrected = _against_output(time_s, hr_bpm, used, window, detected.output, hr_per_output)
    return DriftTestResult(
        window=window,
        window_from=window_from,
        drift=drift,
        where="cannot tell" if void else against_criterion(drift, criterion_pct=criterion_pct),
        criterion_pct=criterion_pct,
        window_criterion_pct=scaled_criterion_pct(criterion_pct, window.length_s),
        corrected=corrected,
        decoupling=decoupled,
        findings=findings,
        verdict=verdict(drift, findings, criterion_pct=criterion_pct),
        suggestions=waiting,
        excluded_s=_covered_s(window, exclusions),
        exclusions=tuple(e.reason or "no reason given" for e in exclusions if _meet(e, window)),
        temperature_c=temperature_c,
        temperature_from=temperature_from,
        **_settings(decisions, window, time_s, detected.output),
        method=METHOD,
        caveats=(*drift.caveats, *_caveats(detected, temperature_c, temperature_from)),
    )


def changes_of_setting(
    time_s: np.ndarray,
    output: OutputSeries | None,
    decisions: Decisions | None,
    *,
    is_indoor: bool,
) -> tuple[float, ...]:
    """Instants at which the setting changed: ends of typed-in stages, else what speed or power shows.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time. [s]
    output : OutputSeries or None
        See ``analysis.recording.output``.
    decisions : Decisions, optional
        Touching stages with equal settings count as one.
    is_indoor : bool
        Out of doors output wanders, and only larger changes count.

    Source
    ------
    See ``measures.recording.steady``.
    """
    stages = sorted(decisions.stages, key=lambda s: s.start_s) if decisions else []
    if stages:
        edges = {stages[0].start_s, stages[-1].stop_s}
        for one, following in pairwise(stages):
            if following.start_s - one.stop_s > 1.0 or any(
                not _same(getattr(one, name), getattr(following, name), least)
                for name, least in SAME_SETTING.items()
            ):
                edges |= {one.stop_s, following.start_s}
        return tuple(sorted(e for e in edges if time_s[0] < e < time_s[-1]))
    if output is None:
        return ()
    if output.kind == "power":
        floor = steady.POWER_FLOOR_W * (1.0 if is_indoor else steady.ROAD_POWER_TIMES)
    else:
        floor = steady.SPEED_FLOOR_MPS * (1.0 if is_indoor else steady.ROAD_SPEED_TIMES)
    return steady.setting_changes(time_s, output.values, floor=floor)


def _same(one: float | None, other: float | None, least: float) -> bool:
    if one is None or other is None:
        return one is other
    return abs(one - other) < least


def _window(decisions: Decisions | None, detected: Detected) -> tuple[Span, str]:
    """The coach's steady window; the suggested one where there is none."""
    for window in decisions.windows if decisions else ():
        if window.purpose == "steady":
            return Span(start_s=window.start_s, stop_s=window.stop_s), "decisions"
    return detected.window, "suggestion"


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
    return validity.uneven_output(scatter, is_power=output.kind == "power")


def _unanswered(
    time_s: np.ndarray,
    counted_bpm: np.ndarray,
    window: Span,
    exclusions: Iterable[Stretch],
    detected: Detected,
) -> tuple[Span, ...]:
    """Suggestions in the window that are not left out yet, with what each adds to the drift."""
    gone = tuple(exclusions)
    waiting = [s for s in detected.suggestions if _meet(s, window) and _covered_s(s, gone) < 0.5 * s.length_s]
    near = inside(time_s, [window])
    time_s, counted_bpm = time_s[near], counted_bpm[near]
    return tuple(
        replace(span, effect_pct=artefacts.effect_pct(time_s, counted_bpm, span, window)) for span in waiting
    )


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


def _against_output(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    used: np.ndarray,
    window: Span,
    output: OutputSeries | None,
    hr_per_output: float | None,
) -> tuple[Decoupling | None, HeartRateDrift | None]:
    """Decoupling, and drift corrected for output; neither where output is a typed-in setting."""
    if output is None or output.is_set:
        return None, None
    near = (time_s >= window.start_s - 600) & (time_s < window.stop_s)
    time_s, hr_bpm, values, used = time_s[near], hr_bpm[near], output.values[near], used[near]
    ends = {"start_s": window.start_s, "stop_s": window.stop_s}
    decoupled = corrected = None
    try:
        decoupled = decoupling(time_s, hr_bpm, values, used & (np.nan_to_num(values) > 0), **ends)
        if hr_per_output is not None:
            corrected = drift_corrected_for_output(
                time_s, hr_bpm, values, used, **ends, hr_per_output=hr_per_output
            )
    except CoachError:
        return decoupled, corrected
    return decoupled, corrected


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
    is_power = output is not None and output.kind == "power"
    return {"speed_mps": None if is_power else mean, "grade": None, "power_w": mean if is_power else None}


def _caveats(
    detected: Detected, temperature_c: float | None, temperature_from: str | None
) -> tuple[str, ...]:
    said = []
    if not detected.held_known:
        said.append(
            "neither speed nor power is known, so whether the setting was held cannot be told; type the stages in"
        )
    if temperature_c is None:
        said.append("the air temperature is not known; heat would make the drift larger")
    elif temperature_from == "device":
        said.append(
            f"{temperature_c:.0f} degrees Celsius is what the device felt, which the skin warms; note the air in the diary"
        )
    return tuple(said)
