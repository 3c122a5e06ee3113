"""Were the easy sessions easy: one answer for a week, for four, for every page."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.analysis.recording.domains import DomainTime, summed_domains
from coachlib.analysis.recording.judged import JudgedRecording
from coachlib.analysis.week.meant import meant_easy
from coachlib.analysis.zones.holding import unchecked_since
from coachlib.measures.common.codes import Code
from coachlib.measures.week.easy_share import EasyShare, easy_share_of_week, threshold_sd
from coachlib.records.athlete import Athlete, Threshold

#: How far to each side a threshold without an interval of its own may be off. [1/min]  Own choice, wider
#: than the interval of a series of tests.
UNKNOWN_HALF_WIDTH_BPM = 10.0


@dataclass(frozen=True, slots=True, kw_only=True)
class EasyTime:
    """Time of the sessions meant as easy, each by the first threshold of its own day and sport.

    ``minutes`` are those of heart rate, ``below`` those at or below the threshold; ``share`` says how far that may
    be out.  ``threshold`` is the one that most of the minutes were judged by, ``several`` whether there were more;
    ``unchecked`` what happened after it was accepted: it was not checked since.
    """

    n_sessions: int
    minutes: float
    below: float
    share: EasyShare
    threshold: Threshold
    several: bool
    unchecked: Code | None = None

    @property
    def method(self) -> str:
        """The method of the share."""
        return self.share.method


def easy_time(sessions: Sequence[JudgedRecording], athlete: Athlete) -> EasyTime | None:
    """How much of the sessions meant as easy lay at or below the first threshold; None where none can be judged.

    Parameters
    ----------
    sessions : sequence of JudgedRecording
        Any sessions; those meant as easy with a first threshold of that day and sport are used.
    athlete : Athlete
        For the thresholds.

    Source
    ------
    ``measures.week.easy_share``.
    """
    judged = [
        (s, s.domains, first)
        for s in sessions
        if meant_easy(s)
        and s.domains is not None
        and (first := athlete.threshold_on("first", s.on, s.sport)) is not None
    ]
    if not judged:
        return None
    domains = summed_domains(d for _, d, _ in judged)
    if domains is None:
        return None
    share = easy_share_of_week(
        [np.arange(len(s.seconds_at_bpm), dtype=float) for s, *_ in judged],
        [np.asarray(s.seconds_at_bpm) for s, *_ in judged],
        threshold_bpm=[first.hr_bpm for *_, first in judged],
        threshold_sd_bpm=[threshold_sd(*threshold_interval(first)) for *_, first in judged],
    )
    return EasyTime(
        n_sessions=len(judged),
        minutes=domains.total_s / 60,
        below=domains.below_s / 60,
        share=share,
        threshold=_most_used([(first, d) for _, d, first in judged]),
        several=len({(f.hr_bpm, f.sport, f.on) for *_, f in judged}) > 1,
        unchecked=unchecked_since(athlete, [(s.on, first) for s, _, first in judged]),
    )


def _most_used(used: Sequence[tuple[Threshold, DomainTime]]) -> Threshold:
    """The threshold by which most of the time was judged."""
    seconds: dict[int, float] = {}
    for threshold, domains in used:
        seconds[id(threshold)] = seconds.get(id(threshold), 0.0) + domains.total_s
    return max((threshold for threshold, _ in used), key=lambda t: seconds[id(t)])


def threshold_interval(threshold: Threshold) -> tuple[float, float]:
    """The 90 % interval of a threshold, a wide one where none was written down. [1/min]"""
    low, high = threshold.hr_low_bpm, threshold.hr_high_bpm
    return (
        threshold.hr_bpm - UNKNOWN_HALF_WIDTH_BPM if low is None else low,
        threshold.hr_bpm + UNKNOWN_HALF_WIDTH_BPM if high is None else high,
    )
