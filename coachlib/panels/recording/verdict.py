"""What a judged recording shows, as the trace editor puts it on the screen."""

from dataclasses import dataclass, replace

from coachlib.analysis.recording.detected import Detected
from coachlib.analysis.recording.judge import main_window
from coachlib.analysis.recording.judged import JudgedRecording, SteadyStretch
from coachlib.analysis.recording.steady_stretch import effects_pct
from coachlib.measures.common.spans import Stretch
from coachlib.measures.drift_test.drift import HeartRateDrift
from coachlib.records.decisions import UNSTEADY_KINDS, Decisions, Window
from coachlib.report.words import recording as words
from coachlib.report.words import wording
from coachlib.report.words.catalogue import whole

#: Effects smaller than this are said to be none. [percentage points]  This project's own choice: the
#: least that one decimal of a drift can show.
LEAST_EFFECT_PCT = 0.05


@dataclass(frozen=True, kw_only=True)
class Reading:
    """The finding, a line of detail, the half means on the trace, what each stretch does to the drift.

    ``suggestion_effects`` and ``exclusion_effects`` are texts such as "+0.1 points": what the stretch adds to
    the drift where it counts.  ``stretch`` is the judged steady window where there is one.
    """

    sentence: str
    detail: str = ""
    halves_bpm: tuple[float, float] | None = None
    suggestion_effects: tuple[str, ...] = ()
    exclusion_effects: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    stretch: SteadyStretch | None = None


def read(
    judged: JudgedRecording, detected: Detected, decisions: Decisions, *, suggestions: tuple[Stretch, ...]
) -> Reading:
    """Put a judgement on the screen; where nothing can be said, why not.

    Parameters
    ----------
    judged : JudgedRecording
        From ``analysis.recording.judge`` with these decisions.
    detected, decisions
        What was judged.
    suggestions : tuple of Stretch
        Stretches whose effect is worked out, whether they count or not.
    """
    window = main_window(decisions)
    reading = Reading(
        sentence=_without_drift(judged, window),
        suggestion_effects=_effects(detected, decisions, window, suggestions),
        exclusion_effects=_effects(detected, decisions, window, decisions.exclusions),
    )
    if judged.steady is not None and window is not None:
        return _of_stretch(reading, judged.steady)
    return reading if judged.trial is None else _of_trial(reading, judged.trial)


def _without_drift(judged: JudgedRecording, window: Window | None) -> str:
    """Why no drift is told, and what to do about it."""
    why = "" if judged.not_steady is None else whole(judged.not_steady)
    return why if window is not None or judged.kind in UNSTEADY_KINDS else f"{why} {NO_WINDOW}".strip()


NO_WINDOW = "Draw a window on the trace: the steady part, 15 minutes after the last change of settings."


def _of_stretch(reading: Reading, stretch: SteadyStretch) -> Reading:
    drift = stretch.drift
    return replace(
        reading,
        sentence=words.verdict(stretch),
        detail=detail_of(drift),
        halves_bpm=(drift.first_half_bpm, drift.second_half_bpm),
        findings=(*(whole(f.code) for f in stretch.findings), *(whole(c) for c in stretch.caveats)),
        stretch=stretch,
    )


def _of_trial(reading: Reading, drift: HeartRateDrift) -> Reading:
    """A trial is no steady test: its halves are shown, and no verdict on a threshold."""
    mean_bpm = (drift.first_half_bpm + drift.second_half_bpm) / 2
    return replace(
        reading,
        sentence=f"A trial of {wording.duration(drift.stop_s - drift.start_s)} at {wording.heart_rate(mean_bpm)}.",
        detail=f"First half {drift.first_half_bpm:.1f} bpm, second half {drift.second_half_bpm:.1f} bpm; "
        f"{wording.duration(drift.used_s)} used.",
        halves_bpm=(drift.first_half_bpm, drift.second_half_bpm),
    )


def detail_of(drift: HeartRateDrift) -> str:
    """Half means, used time, both uncertainties."""
    length_s = drift.stop_s - drift.start_s
    return (
        f"First half {drift.first_half_bpm:.1f} bpm, second half {drift.second_half_bpm:.1f} bpm; "
        f"{wording.duration(drift.used_s)} of {wording.duration(length_s)} used. The brackets are the 90 % "
        f"interval of this run alone; with day-to-day scatter it is {wording.minus(drift.day_low_pct, 1)} to "
        f"{wording.minus(drift.day_high_pct, 1)} %."
    )


def _effects(
    detected: Detected, decisions: Decisions, window: Stretch | None, stretches: tuple[Stretch, ...]
) -> tuple[str, ...]:
    """What single stretches add to the drift of the window, as texts."""
    if window is None:
        return ("",) * len(stretches)
    return tuple(map(_said, effects_pct(detected, decisions, window, stretches)))


def _said(effect_pct: float | None) -> str:
    if effect_pct is None:
        return "outside"
    if abs(effect_pct) < LEAST_EFFECT_PCT:
        return "no effect"
    return f"{'+' * (effect_pct > 0)}{wording.minus(effect_pct, 1)} points"
