"""A week in words: how easy the easy days were, what is usual, what a letter cannot say."""

from typing import Any

from coachlib.analysis.week.easy import EasyTime, threshold_interval
from coachlib.records.thresholds import Threshold
from coachlib.report.words import wording
from coachlib.report.words.catalogue import Sentence


def easy_seen(easy: EasyTime) -> str:
    """The minutes of easy sessions that stayed at or below the first threshold.

    Examples
    --------
    "131 of 135 easy minutes stayed at or below 126 bpm, your first threshold."
    """
    minutes, below = round(easy.minutes), round(easy.below)
    if easy.several:
        limit = "the first threshold of their day and sport"
    else:
        limit = f"{wording.heart_rate(easy.threshold.hr_bpm)}, your first threshold"
    if below >= minutes:
        return f"All {minutes} easy minutes stayed at or below {limit}."
    if easy.share.verdict == "not easy":
        return f"Only {below} of {minutes} easy minutes stayed at or below {limit}."
    return f"{below} of {minutes} easy minutes stayed at or below {limit}."


def easy_sure(easy: EasyTime) -> str:
    """How sure that makes whether easy was easy."""
    if easy.unchecked is not None:
        return f"That limit is {_not_checked(**dict(easy.unchecked))}: whether easy was easy we cannot tell."
    if easy.share.verdict == "easy":
        return "Easy was easy: that is clear, also if that limit is a few beats out."
    if easy.share.verdict == "not easy":
        return "For easy days that was too hard: that is clear, also if that limit is a few beats out."
    out = max(round(b - easy.threshold.hr_bpm) for b in _reach(easy.threshold))
    return f"That limit may be {out} beats out, so whether all of it was easy we cannot tell."


def _not_checked(**since: Any) -> str:
    return f"from before {wording.event(**since)}, and was not checked since"


def _reach(threshold: Threshold) -> tuple[float, float]:
    low, high = threshold_interval(threshold)
    return threshold.hr_bpm + (threshold.hr_bpm - low), high


def _bound(hr_bpm: float, bounded: str) -> str:
    side = "at least" if bounded == "above" else "at most"
    return (
        f"only a bound of the first threshold is accepted, {side} {wording.heart_rate(hr_bpm)}: minutes below it, zones "
        "and whether easy was easy do not follow from a bound; a further test can settle it"
    )


SENTENCES: dict[str, Sentence] = {
    "no first threshold for domains": lambda: (
        "easy and hard minutes are not told apart, since no first threshold is known yet; a steady drift test settles it"
    ),
    "no second threshold for domains": lambda: (
        "minutes above the second threshold are not told, since it is not known yet; a 30-minute time trial settles it"
    ),
    "only a bound is accepted": _bound,
    "no heart-rate limits under medicine": lambda: (
        "with medicine that slows the heart, limits by heart rate do not hold: go by whether you can talk, and by how "
        "hard it feels"
    ),
    "not checked since": _not_checked,
    "no heart-rate limits in pregnancy": lambda: (
        "in pregnancy heart rate answers effort differently, so limits by heart rate do not hold: go by whether you can "
        "talk, and by how hard it feels"
    ),
    "zones lack": lambda lacking: (
        f"minutes in zones are not told: your zones still need the {wording.listed(list(lacking))}"
    ),
    "load by heart rate lacks": lambda lacking: (
        f"load by heart rate needs your {wording.listed(list(lacking))}; tell your coach"
    ),
    "load by rating lacks minutes": lambda: (
        "load by your rating needs the minutes of what you did without a recording; write them into the diary"
    ),
    "load by rating lacks": lambda n_without, n_sessions: (
        f"load by your rating needs one for every session; {n_without} of {n_sessions} had none in the diary"
    ),
}  # fmt: skip
