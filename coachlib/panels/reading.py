"""What a recording shows under the present decisions, in the words of the trace editor."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

import numpy as np

from coachlib.errors import CoachError
from coachlib.measures.drift import (
    HeartRateDrift,
    against_criterion,
    drift_map,
    heart_rate_drift,
    scaled_criterion_pct,
)
from coachlib.measures.spans import Stretch, inside
from coachlib.panels.edits import main_window
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Exclusion
from coachlib.report import wording

#: Effects smaller than this are said to be none. [percentage points]  This project's own choice: the
#: least that one decimal of a drift can show.
LEAST_EFFECT_PCT = 0.05


@dataclass(frozen=True, kw_only=True)
class Reading:
    """One sentence, one line of detail, the half means on the trace, and what each stretch does to the drift.

    ``suggestion_effects`` and ``exclusion_effects`` are texts such as "+0.1 pp": what the stretch adds to
    the drift where it counts.
    """

    sentence: str
    detail: str
    halves_bpm: tuple[float, float] | None
    suggestion_effects: tuple[str, ...] = ()
    exclusion_effects: tuple[str, ...] = ()
    findings: tuple[str, ...] = ()
    drift: HeartRateDrift | None = None


def used_for_drift(activity: Activity, exclusions: Iterable[Exclusion]) -> np.ndarray:
    """Samples whose heart rate counts: everything outside the exclusions of heart rate."""
    time_s = activity.samples["time_s"].to_numpy()
    return ~inside(time_s, [e for e in exclusions if e.quantity == "hr_bpm"])


def read(
    activity: Activity, decisions: Decisions, suggestions: tuple[Stretch, ...], *, criterion_pct: float
) -> Reading:
    """Say what the window shows; where nothing can be said, why not.

    Parameters
    ----------
    activity : Activity
        The recording.
    decisions : Decisions
        As they stand, saved or not.
    suggestions : tuple of Stretch
        Stretches the detectors found; their effect is worked out whether they count or not.
    criterion_pct : float
        The drift that marks the first threshold in a 60-minute window. [%]

    Returns
    -------
    Reading
        Never raises for want of data: the refusal is the sentence.

    Source
    ------
    This project's own choice of words; the numbers are those of ``measures.drift``.

    Examples
    --------
    The editor's tests read a recording; see ``tests/panels``.
    """
    window = main_window(decisions)
    nothing = Reading(
        sentence="Draw a window on the trace: the steady part, 15 minutes after the last change of settings.",
        detail="",
        halves_bpm=None,
        suggestion_effects=("",) * len(suggestions),
        exclusion_effects=("",) * len(decisions.exclusions),
    )
    if window is None:
        return nothing
    effects = _Effects(activity, decisions, window)
    nothing = replace(
        nothing,
        suggestion_effects=tuple(effects.of(span) for span in suggestions),
        exclusion_effects=tuple(
            effects.of(e) if e.quantity == "hr_bpm" else "" for e in decisions.exclusions
        ),
    )
    try:
        drift = drift_in(activity, decisions, window)
    except CoachError as refusal:
        return replace(nothing, sentence=_capital(str(refusal)))
    return replace(
        nothing,
        sentence=sentence_of(drift, criterion_pct=criterion_pct),
        detail=detail_of(drift, criterion_pct=criterion_pct),
        halves_bpm=(drift.first_half_bpm, drift.second_half_bpm),
        drift=drift,
    )


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


def sentence_of(drift: HeartRateDrift, *, criterion_pct: float) -> str:
    """The finding as a coach could say it aloud."""
    verb = "rose" if drift.drift_pct >= 0.05 else "fell" if drift.drift_pct <= -0.05 else "changed"
    limit = scaled_criterion_pct(criterion_pct, drift.stop_s - drift.start_s)
    line = (
        f"{limit:.2g} %"
        if abs(limit - criterion_pct) < 0.05
        else f"{limit:.1f} % (the share of these minutes)"
    )
    rise = (
        f"Heart rate {verb} {wording.drift(drift)} from the first half to the second, "
        f"over {wording.duration(drift.stop_s - drift.start_s)}."
    )
    where = against_criterion(drift, criterion_pct=criterion_pct)
    if where == "near":
        return f"{rise} That is near {line}: with ordinary day-to-day scatter one test cannot tell the side."
    side = "above" if where == "below" else "below"
    return (
        f"{rise} That is {where} {line}, also with ordinary day-to-day scatter: "
        f"the first threshold lies {side} {wording.heart_rate(drift.first_half_bpm)}."
    )


def detail_of(drift: HeartRateDrift, *, criterion_pct: float) -> str:
    """Half means, used time, both uncertainties."""
    length_s = drift.stop_s - drift.start_s
    share = "" if abs(length_s - 3600) < 60 else f" {criterion_pct:g} % belongs to 60 minutes."
    return (
        f"First half {drift.first_half_bpm:.1f} bpm, second half {drift.second_half_bpm:.1f} bpm; "
        f"{wording.duration(drift.used_s)} of {wording.duration(length_s)} used. The brackets are the 90 % "
        f"interval of this run alone; with day-to-day scatter it is {wording.minus(drift.day_low_pct, 1)} to "
        f"{wording.minus(drift.day_high_pct, 1)} %.{share}"
        + "".join(f" {_capital(c)}" for c in drift.caveats)
    )


class _Effects:
    """What single stretches add to the drift of one window."""

    def __init__(self, activity: Activity, decisions: Decisions, window: Stretch) -> None:
        self._time_s = activity.samples["time_s"].to_numpy()
        self._hr_bpm = activity.samples["hr_bpm"].to_numpy()
        self._exclusions = decisions.exclusions
        self._used = used_for_drift(activity, decisions.exclusions)
        self._window = window

    def of(self, stretch: Stretch) -> str:
        """The stretch's effect as a text."""
        if stretch.stop_s <= self._window.start_s or stretch.start_s >= self._window.stop_s:
            return "outside"
        here = inside(self._time_s, [stretch])
        others = [e for e in self._exclusions if e.quantity == "hr_bpm" and not _same(e, stretch)]
        counted = here & ~inside(self._time_s, others)
        with_it = self._drift_pct(self._used | counted)
        without = self._drift_pct(self._used & ~here)
        effect = with_it - without
        if not np.isfinite(effect):
            return ""
        return f"{effect:+.1f} pp".replace("-", "−") if abs(effect) >= LEAST_EFFECT_PCT else "no effect"

    def _drift_pct(self, used: np.ndarray) -> float:
        ends = np.array([self._window.start_s]), np.array([self._window.stop_s])
        return float(drift_map(self._time_s, self._hr_bpm, used, starts_s=ends[0], stops_s=ends[1])[0, 0])


def _same(one: Stretch, other: Stretch) -> bool:
    return (one.start_s, one.stop_s) == (other.start_s, other.stop_s)


def _capital(sentence: str) -> str:
    return sentence[:1].upper() + sentence[1:]
