"""Whether second opinions fit what drift says.  None of them moves the estimate.

An opinion disagrees only where its own scatter and that of the estimate together do not explain the distance.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass

from coachlib.analysis.first_threshold.second_opinions import (
    ABOVE,
    BELOW,
    CANNOT_TELL,
    NEAR,
    Opinion,
    talk_opinion,
)
from coachlib.analysis.first_threshold.series import Series
from coachlib.analysis.recording.judged import SteadyStretch
from coachlib.measures.common.constants import Z90
from coachlib.measures.drift_test.validity import NEAR_PCT
from coachlib.measures.first_threshold.estimate import FirstThreshold

AGREES, DISAGREES = "agrees", "disagrees"


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """An opinion held against drift; ``verdict`` is "agrees", "disagrees" or "cannot tell"."""

    opinion: Opinion
    verdict: str


def held_against_test(test: SteadyStretch, opinions: Iterable[Opinion]) -> tuple[Held, ...]:
    """Opinions on one test against what its drift says.

    Parameters
    ----------
    test : SteadyStretch
        The judged test.
    opinions : iterable of Opinion
        On the same test.

    Notes
    -----
    The same side agrees, the other disagrees; a drift that is far from the criterion
    and yet cannot be told from it tells no side and is not near.
    """
    is_far = abs(test.told.drift_pct - test.window_criterion_pct) >= NEAR_PCT
    where = CANNOT_TELL if test.where == NEAR and is_far else test.where
    return tuple(Held(opinion=o, verdict=_same_side(o.says, where)) for o in opinions)


def _same_side(says: str, where: str) -> str:
    if CANNOT_TELL in (says, where):
        return CANNOT_TELL
    if says == where:
        return AGREES
    return DISAGREES if NEAR not in (says, where) else CANNOT_TELL


def held_against_series(series: Series, opinions: Iterable[Opinion]) -> tuple[Held, ...]:
    """The talk tests of a series and what else is known, against its estimate, oldest first.

    Parameters
    ----------
    series : Series
        The analysed series.
    opinions : iterable of Opinion
        From beats and lactate; those on drift tests that are not in the series are passed over.

    Notes
    -----
    See ``against_estimate``.
    """
    counted_bpm = {p.test.sha256: p.reference_hr_bpm for p in series.tests if p.test.sha256}
    held = []
    for placed in series.tests:
        test = placed.test
        talk = talk_opinion(test.conditions, on=test.on, sha256=test.sha256, hr_bpm=test.first_half_bpm)
        if talk is not None:
            held.append(_held(talk, series.threshold, placed.reference_hr_bpm))
    for opinion in opinions:
        if opinion.is_value:
            held.append(_held(opinion, series.threshold, opinion.hr_bpm))
        elif opinion.sha256 in counted_bpm:
            held.append(_held(opinion, series.threshold, counted_bpm[opinion.sha256]))
    return tuple(sorted(held, key=lambda h: (h.opinion.on, h.opinion.source)))


def _held(opinion: Opinion, threshold: FirstThreshold, hr_bpm: float) -> Held:
    return Held(
        opinion=opinion,
        verdict=against_estimate(opinion.says, threshold, hr_bpm=hr_bpm, sd_bpm=opinion.sd_bpm),
    )


def against_estimate(says: str, threshold: FirstThreshold, *, hr_bpm: float, sd_bpm: float) -> str:
    """Whether "below", "near" or "above the threshold at this heart rate" fits an estimate.

    Parameters
    ----------
    says : str
        "below", "near", "above" or "cannot tell".
    threshold : FirstThreshold
        The estimate with its 90 % interval.
    hr_bpm : float
        Heart rate that was below, near or above, in the estimate's reference conditions. [1/min]
    sd_bpm : float
        How far the threshold may lie beyond it without a contradiction. [1/min]

    Returns
    -------
    str
        "agrees": the heart rate lies on that side of the estimate's 90 % interval (near: inside it).
        "disagrees": it lies so far on the wrong side of the best guess (near: on either) that both scatters together
        explain it less than one time in twenty.  Else "cannot tell".  An end of the interval that the tests do not
        hold says nothing.

    Examples
    --------
    >>> from coachlib.measures.first_threshold.estimate import estimate_first_threshold
    >>> found = estimate_first_threshold([148, 156, 163], [1.0, 3.4, 7.1], [0.5, 0.5, 0.5], hr_max_bpm=190)
    >>> [against_estimate("below", found, hr_bpm=hr, sd_bpm=0.0) for hr in (140, 160, 180)]
    ['agrees', 'cannot tell', 'disagrees']
    """
    if says == CANNOT_TELL:
        return CANNOT_TELL
    low, middle, high = threshold.hr_low_bpm, threshold.hr_bpm, threshold.hr_high_bpm
    has_low, has_high = threshold.bounded != "above", threshold.bounded != "below"
    is_too_low = has_low and middle - hr_bpm > math.hypot(Z90 * sd_bpm, middle - low)
    is_too_high = has_high and hr_bpm - middle > math.hypot(Z90 * sd_bpm, high - middle)
    if (is_too_low and says != BELOW) or (is_too_high and says != ABOVE):
        return DISAGREES
    fits = {
        BELOW: has_low and hr_bpm < low,
        NEAR: has_low and has_high and low <= hr_bpm <= high,
        ABOVE: has_high and hr_bpm > high,
    }[says]
    return AGREES if fits else CANNOT_TELL
