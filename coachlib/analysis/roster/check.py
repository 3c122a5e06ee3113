"""What is wrong with the recordings of an athlete."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

import numpy as np

from coachlib.analysis.recording.duplicates import Duplicate
from coachlib.analysis.roster.check_finding import CheckFinding, Weight
from coachlib.measures.common.codes import code
from coachlib.measures.common.sampling import LONGEST_STEP_S
from coachlib.measures.common.spans import inside
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Stage

#: A heart rate counts as reached when it was held for so long: one odd record is no maximum.
HELD_S = 10
#: A recording that is older was made by a device whose clock was not set. [years]  Own choice.
LONG_AGO_YEARS = 20


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


def check_decisions(slug: str, file: str, decisions: Decisions, facts: Facts) -> tuple[CheckFinding, ...]:
    """Stretches that lie beyond the end of their recording."""
    stretches = (*decisions.windows, *decisions.exclusions, *decisions.stages)
    return tuple(
        CheckFinding(
            athlete=slug, file=file, severity="problem",
            code=code("stretch beyond the end", start_s=s.start_s, elapsed_s=facts.elapsed_s),
        )
        for s in stretches
        if s.start_s >= facts.elapsed_s
    )  # fmt: skip


def duplicate_finding(slug: str, one: Facts, other: Facts, likeness: Duplicate) -> CheckFinding:
    """Two recordings that are, or may be, one session."""
    severity: Weight = "advice" if likeness.sameness == "same time" else "problem"
    found = code(
        _SAMENESS[likeness.sameness], one=one.recording, other=other.recording, overlap_frac=likeness.overlap_frac,
        hr_correlation=likeness.hr_correlation, lag_s=likeness.lag_s,
    )  # fmt: skip
    return CheckFinding(athlete=slug, file=f"{other.recording}.fit", severity=severity, code=found)


_SAMENESS = {
    "same bytes": "same file twice", "same values": "same values twice",
    "two devices": "one session on two devices", "same time": "two recordings at once",
}  # fmt: skip


def may_be_one(facts: Sequence[Facts]) -> Iterator[tuple[Facts, Facts]]:
    """Pairs that overlap in time or hold the same bytes, so that a comparison of their samples can tell more.

    The recordings are gone through once in the order of their starts, so that ten years take ten times as long
    as one; each pair comes with the file that is earlier by name first.
    """
    at = {id(each): n for n, each in enumerate(facts)}
    seen: dict[str, Facts] = {}
    running: list[Facts] = []
    for each in sorted(facts, key=lambda f: f.started_at):
        running = [f for f in running if each.started_at - f.started_at < timedelta(seconds=f.elapsed_s)]
        alike = [f for f in [seen.get(each.sha256)] if f is not None and f not in running]
        for other in (*running, *alike):
            one, two = sorted((each, other), key=lambda f: at[id(f)])
            yield one, two
        running.append(each)
        seen.setdefault(each.sha256, each)


def odd_date(on: date, *, today: date) -> str | None:
    """Whether a day cannot be that of a training session: "future", "long ago", or None.

    A day ahead is allowed, for it may be tomorrow where the athlete lives.  Such a recording counts for no week
    and moves nobody's Monday.

    Source
    ------
    This project's own choice: twenty years are longer than any recording of this kind has been made at home.

    Examples
    --------
    >>> today = date(2026, 11, 29)
    >>> odd_date(date(2031, 1, 1), today=today), odd_date(date(1990, 1, 1), today=today)
    ('future', 'long ago')
    """
    if on > today + timedelta(days=1):
        return "future"
    return "long ago" if on < today - timedelta(days=365.25 * LONG_AGO_YEARS) else None


def check_date(slug: str, facts: Facts, *, today: date) -> tuple[CheckFinding, ...]:
    """A recording whose clock was wrong."""
    on = facts.local_start.date()
    odd = odd_date(on, today=today)
    if odd is None:
        return ()
    found = code("recording from the future" if odd == "future" else "recording from long ago", on=on)
    return (CheckFinding(athlete=slug, file=f"{facts.recording}.fit", severity="problem", code=found),)
