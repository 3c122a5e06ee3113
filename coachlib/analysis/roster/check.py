"""What is wrong with the recordings of an athlete, in words."""

from dataclasses import dataclass
from datetime import datetime, timedelta

import numpy as np

from coachlib.analysis.recording.duplicates import Duplicate
from coachlib.analysis.roster.findings import Finding, Severity
from coachlib.measures.common.sampling import LONGEST_STEP_S
from coachlib.measures.common.spans import inside
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Stage

#: A heart rate counts as reached when it was held for so long: one odd record is no maximum.
HELD_S = 10


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What the checks need of one recording, without its samples.

    ``setting`` is the longest typed-in stage of a drift test.
    """

    recording: str
    sha256: str
    started_at: datetime
    local_start: datetime
    elapsed_s: float
    hr_held_bpm: float | None
    setting: Stage | None


def facts_of(
    recording: str, activity: Activity, decisions: Decisions | None, *, time_zone: str | None
) -> Facts:
    """Boil a recording down to what the checks need.

    Parameters
    ----------
    recording : str
        The file's name without its ending.
    activity, decisions
        The recording; what the coach left out of it does not count.
    time_zone : str or None
        The athlete's zone.
    """
    return Facts(
        recording=recording,
        sha256=activity.sha256,
        started_at=activity.started_at,
        local_start=activity.local_start(time_zone),
        elapsed_s=activity.elapsed_s,
        hr_held_bpm=hr_held(activity, decisions),
        setting=_setting(decisions),
    )


def _setting(decisions: Decisions | None) -> Stage | None:
    if decisions is None or decisions.kind != "drift test":
        return None
    return max(decisions.stages, key=lambda s: s.stop_s - s.start_s, default=None)


def hr_held(activity: Activity, decisions: Decisions | None) -> float | None:
    """The highest heart rate held for ten seconds outside the exclusions; None where there is none. [1/min].

    Source
    ------
    This project's own choice.
    """
    time_s = activity.samples["time_s"].to_numpy()
    hr_bpm = activity.samples["hr_bpm"].to_numpy()
    exclusions = [e for e in decisions.exclusions if e.quantity == "hr_bpm"] if decisions else []
    used = np.isfinite(hr_bpm) & ~inside(time_s, exclusions)
    time_s, hr_bpm = time_s[used], hr_bpm[used]
    if time_s.size < 2 or time_s[-1] - time_s[0] < HELD_S:
        return None
    seconds = np.arange(time_s[0], time_s[-1])
    last = np.searchsorted(time_s, seconds, side="right") - 1
    steps = np.diff(time_s, append=time_s[-1] + 1.0)
    stands_for_s = np.where(steps <= LONGEST_STEP_S, steps, 1.0)
    held = np.where(seconds - time_s[last] < stands_for_s[last], hr_bpm[last], 0.0)
    top = float(np.lib.stride_tricks.sliding_window_view(held, HELD_S).min(axis=1).max())
    return top or None


def check_decisions(slug: str, file: str, decisions: Decisions, facts: Facts) -> tuple[Finding, ...]:
    """Stretches that lie beyond the end of their recording."""
    stretches = (*decisions.windows, *decisions.exclusions, *decisions.stages)
    beyond = [s for s in stretches if s.start_s >= facts.elapsed_s]
    return tuple(
        Finding(
            athlete=slug,
            file=file,
            severity="problem",
            sentence=f"a stretch starts at {s.start_s:g} s, but the recording has {facts.elapsed_s:g} s",
            way_out="correct it in the recording workbook",
        )
        for s in beyond
    )


def duplicate_finding(slug: str, one: Facts, other: Facts, likeness: Duplicate) -> Finding:
    """Two recordings that are, or may be, one session."""
    names = f"{one.recording} and {other.recording}"
    common = f"{100 * likeness.overlap_frac:.0f} % of the shorter"
    severity: Severity = "problem"
    way_out = "keep one in recordings and move the other elsewhere; until then the session counts twice"
    if likeness.sameness == "same bytes":
        sentence = f"{names} are the same file twice"
    elif likeness.sameness == "same values":
        sentence = f"{names} hold the same values, exported twice"
    elif likeness.sameness == "two devices":
        sentence = (
            f"{names} are probably one session on two devices: they share {common}, and heart rate agrees "
            f"(correlation {likeness.hr_correlation:.3f} at a lag of {abs(likeness.lag_s or 0.0):.0f} s)"
        )
    else:
        severity = "advice"
        sentence = f"{names} ran at the same time: they share {common}"
        way_out = "if both are one session, keep one; if one is another person's, move it there"
    return Finding(
        athlete=slug, file=f"{other.recording}.fit", severity=severity, sentence=sentence, way_out=way_out
    )


def may_be_one(one: Facts, other: Facts) -> bool:
    """Whether two recordings overlap in time at all, so that a comparison of their samples can tell more."""
    return one.sha256 == other.sha256 or (
        one.started_at - other.started_at < timedelta(seconds=other.elapsed_s)
        and other.started_at - one.started_at < timedelta(seconds=one.elapsed_s)
    )
