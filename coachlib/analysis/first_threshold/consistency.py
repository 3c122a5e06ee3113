"""Whether a first and a second threshold can stand together."""

from typing import Protocol

from coachlib.measures.common.codes import Code, code
from coachlib.measures.zones.scales import MAXIMUM_EDGES
from coachlib.records.athlete import Threshold

#: Fewer beats between the thresholds are no zone to train in: heart rate at one setting differs by 5 from day to
#: day (Lamberts RP et al. (2004), J Strength Cond Res 18:641-645).  Own choice.
NARROWEST_BPM = 6.0
#: Above this share of the maximum a first threshold is unusual: here the five-zone scale puts 4 mmol/l of lactate
#: (Seiler S (2010), Int J Sports Physiol Perform 5:276-291), and people who still talked in comfort were at 82 ± 7 %
#: (Quinn TJ, Coons BA (2011), J Sports Sci 29:1175-1182).
USUAL_FIRST_FRAC = dict(MAXIMUM_EDGES)["long intervals"]


class Value(Protocol):
    """A heart rate with its interval, where one is known."""

    @property
    def hr_bpm(self) -> float:
        """The value. [1/min]"""

    @property
    def hr_low_bpm(self) -> float | None:
        """Lower end. [1/min]"""

    @property
    def hr_high_bpm(self) -> float | None:
        """Upper end. [1/min]"""


def threshold_doubts(
    first: Value | None, second: Value | None, *, hr_max_bpm: float | None
) -> tuple[Code, ...]:
    """What speaks against the two thresholds of one day.

    Parameters
    ----------
    first, second : Value or None
        As accepted, or as they would be.
    hr_max_bpm : float or None
        The athlete's maximum. [1/min]

    Returns
    -------
    tuple of Code
        "not above the first", "thresholds overlap", "narrow between thresholds", "first threshold unusually high".

    Source
    ------
    See ``NARROWEST_BPM`` and ``USUAL_FIRST_FRAC``; a value without an interval overlaps where it lies inside the
    other's, this project's own choice.

    Examples
    --------
    >>> from datetime import date
    >>> first = Threshold(which="first", on=date(2026, 10, 5), hr_bpm=158, hr_low_bpm=153, hr_high_bpm=164)
    >>> second = Threshold(which="second", on=date(2026, 10, 5), hr_bpm=162)
    >>> [found.name for found in threshold_doubts(first, second, hr_max_bpm=190)]
    ['thresholds overlap', 'narrow between thresholds']
    """
    found = []
    if first is not None and second is not None:
        found += _apart(first, second)
    if first is not None and hr_max_bpm and first.hr_bpm > USUAL_FIRST_FRAC * hr_max_bpm:
        found.append(code("first threshold unusually high", share_pct=100 * first.hr_bpm / hr_max_bpm))
    return tuple(found)


def bound(threshold: Threshold) -> Code:
    """What is known where only a bound is accepted: on which side the threshold lies."""
    return code(
        "no zones from a bound",
        which=threshold.which,
        is_above=threshold.bounded == "above",
        hr_bpm=threshold.hr_bpm,
    )


def _apart(first: Value, second: Value) -> list[Code]:
    """Whether the second lies above the first, surely, and far enough."""
    gap = second.hr_bpm - first.hr_bpm
    if gap <= 0:
        return [code("not above the first", first_bpm=first.hr_bpm, second_bpm=second.hr_bpm)]
    found = []
    first_high = first.hr_bpm if first.hr_high_bpm is None else first.hr_high_bpm
    second_low = second.hr_bpm if second.hr_low_bpm is None else second.hr_low_bpm
    if first_high >= second_low:
        found.append(code("thresholds overlap", first_high_bpm=first_high, second_low_bpm=second_low))
    if gap < NARROWEST_BPM:
        found.append(code("narrow between thresholds", gap_bpm=gap, least_bpm=NARROWEST_BPM))
    return found
