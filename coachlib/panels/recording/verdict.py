"""What a recording shows under the present decisions, in the words of the trace editor."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from coachlib.analysis.recording.drift_test import Detected, DriftTestResult, judge
from coachlib.errors import CoachError
from coachlib.measures.common.spans import Stretch, inside
from coachlib.measures.drift_test.drift import HeartRateDrift, drift_map, heart_rate_drift
from coachlib.panels.recording.draft import main_window
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Exclusion
from coachlib.records.diary import DiaryRow
from coachlib.report.words import wording

#: Effects smaller than this are said to be none. [percentage points]  This project's own choice: the
#: least that one decimal of a drift can show.
LEAST_EFFECT_PCT = 0.05
#: Kinds of session about which drift says nothing, and what counts instead.
NOT_STEADY = {
    "ramp": "A ramp is not steady. Type in its stages below: they and the heart rate at their ends count.",
    "step test": "A step test is not steady. Type in its stages and lactate below: they and the heart rate at their "
    "ends count.",
    "intervals": "Intervals are not steady, so their drift says nothing.",
    "race": "A race is not steady, so its drift says nothing.",
}


@dataclass(frozen=True, kw_only=True)
class Reading:
    """The finding, a line of detail, the half means on the trace, what each stretch does to the drift.

    ``suggestion_effects`` and ``exclusion_effects`` are texts such as "+0.1 pp": what the stretch adds to
    the drift where it counts.  ``test`` is the whole result where a steady window could be judged.
    """

    sentence: str
    detail: str = ""
    halves_bpm: tuple[float, float] | None = None
    suggestion_effects: tuple[str, ...] = ()
    exclusion_effects: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    test: DriftTestResult | None = None


def used_for_drift(activity: Activity, exclusions: Iterable[Exclusion]) -> np.ndarray:
    """Samples whose heart rate counts: everything outside the exclusions of heart rate."""
    time_s = activity.samples["time_s"].to_numpy()
    return ~inside(time_s, [e for e in exclusions if e.quantity == "hr_bpm"])


def read(
    activity: Activity,
    decisions: Decisions,
    detected: Detected,
    *,
    suggestions: tuple[Stretch, ...],
    criterion_pct: float,
    diary_row: DiaryRow | None,
) -> Reading:
    """Say what the window shows; where nothing can be said, why not.

    Parameters
    ----------
    activity : Activity
        The recording.
    decisions : Decisions
        As they stand, saved or not.
    detected : Detected
        What was found in the recording with the present stages.
    suggestions : tuple of Stretch
        Stretches whose effect is worked out, whether they count or not.
    criterion_pct : float
        The drift that marks the first threshold in a 60-minute window. [%]
    diary_row : DiaryRow or None
        What the athlete wrote.

    Returns
    -------
    Reading
        Never raises for want of data: the refusal is the sentence.

    Source
    ------
    The numbers and the verdict are those of ``analysis.recording.drift_test``.

    Examples
    --------
    The panel's tests read a recording; see ``tests/panels``.
    """
    window = main_window(decisions)
    if window is None:
        nothing = "Draw a window on the trace: the steady part, 15 minutes after the last change of settings."
        blank = ("",) * len(suggestions), ("",) * len(decisions.exclusions)
        return Reading(sentence=nothing, suggestion_effects=blank[0], exclusion_effects=blank[1])
    effects = _Effects(activity, decisions, window)
    reading = Reading(
        sentence="",
        suggestion_effects=tuple(effects.of(span) for span in suggestions),
        exclusion_effects=tuple(
            effects.of(e) if e.quantity == "hr_bpm" else "" for e in decisions.exclusions
        ),
    )
    if window.purpose == "steady" and decisions.kind in NOT_STEADY:
        return replace(reading, sentence=NOT_STEADY[decisions.kind])
    try:
        if window.purpose != "steady":
            return _of_trial(reading, drift_in(activity, decisions, window))
        return _of_test(
            reading, judge(activity, decisions, detected, criterion_pct=criterion_pct, diary_row=diary_row)
        )
    except CoachError as refusal:
        return replace(reading, sentence=_capital(str(refusal)))


def drift_in(activity: Activity, decisions: Decisions, window: Stretch) -> HeartRateDrift:
    """Drift of one window without what is left out."""
    samples = activity.samples
    return heart_rate_drift(
        samples["time_s"].to_numpy(),
        samples["hr_bpm"].to_numpy(),
        used_for_drift(activity, decisions.exclusions),
        start_s=window.start_s,
        stop_s=window.stop_s,
    )


def _of_test(reading: Reading, test: DriftTestResult) -> Reading:
    return replace(
        reading,
        sentence=test.verdict,
        detail=detail_of(test.drift),
        halves_bpm=(test.drift.first_half_bpm, test.drift.second_half_bpm),
        findings=(
            *(f"{_capital(f.sentence)}: {f.consequence}." for f in test.findings),
            *(f"{_capital(caveat)}." for caveat in test.caveats),
        ),
        test=test,
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


class _Effects:
    """What single stretches add to the drift of one window."""

    def __init__(self, activity: Activity, decisions: Decisions, window: Stretch) -> None:
        near = inside(activity.samples["time_s"].to_numpy(), [window])
        self._time_s = activity.samples["time_s"].to_numpy()[near]
        self._hr_bpm = activity.samples["hr_bpm"].to_numpy()[near]
        self._exclusions = [e for e in decisions.exclusions if e.quantity == "hr_bpm"]
        self._used = ~inside(self._time_s, self._exclusions)
        self._window = window

    def of(self, stretch: Stretch) -> str:
        """The stretch's effect as a text."""
        if stretch.stop_s <= self._window.start_s or stretch.start_s >= self._window.stop_s:
            return "outside"
        here = inside(self._time_s, [stretch])
        others = [e for e in self._exclusions if (e.start_s, e.stop_s) != (stretch.start_s, stretch.stop_s)]
        counted = here & ~inside(self._time_s, others)
        effect = self._drift_pct(self._used | counted) - self._drift_pct(self._used & ~here)
        if not np.isfinite(effect):
            return ""
        return f"{effect:+.1f} pp".replace("-", "−") if abs(effect) >= LEAST_EFFECT_PCT else "no effect"

    def _drift_pct(self, used: np.ndarray) -> float:
        start_s, stop_s = np.array([self._window.start_s]), np.array([self._window.stop_s])
        return float(drift_map(self._time_s, self._hr_bpm, used, starts_s=start_s, stops_s=stop_s)[0, 0])


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
