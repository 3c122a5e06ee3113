"""A single run against the longest of the thirty days before.

Source
------
Frandsen J et al. (2025), Br J Sports Med, doi 10.1136/bjsports-2024-109380: 5,205 runners.  A run more than 10 % and
up to 30 % longer than the longest of the last 30 days went with a hazard of overuse injury of 1.64, 30 to 100 %
with 1.52, more than 100 % with 2.28, against up to 10 %; the ratio of weeks was no predictor.
"""

from collections.abc import Sequence
from dataclasses import dataclass

#: Runners of the cohort.
N_RUNNERS = 5205
#: Share beyond the longest run, more than this -> hazard ratio, from the largest.
HAZARDS = ((1.0, 2.28), (0.3, 1.52), (0.1, 1.64))
#: How far back the longest run counts. [days]
LOOK_BACK_DAYS = 30
#: With fewer runs in that time nothing is said.  Own choice: the longest of three is little to compare with.
LEAST_RUNS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class LongestRun:
    """A run against the longest of thirty days, both in one unit; how far it is beyond, and what the cohort had."""

    length: float
    longest: float
    beyond_frac: float
    hazard: float | None


def against_longest(length: float, before: Sequence[float]) -> LongestRun | None:
    """Compare a run with those of the thirty days before; None with fewer than four.

    Parameters
    ----------
    length : float
        Of the run. [m or min, as ``before``]
    before : sequence of float
        Those of the thirty days before.

    Examples
    --------
    >>> against_longest(14.0, [8.0, 12.0, 6.0, 9.0]).hazard
    1.64
    >>> against_longest(13.0, [8.0, 12.0, 6.0, 9.0]).hazard is None, against_longest(14.0, [12.0]) is None
    (True, True)
    """
    if len(before) < LEAST_RUNS or max(before) <= 0:
        return None
    longest = max(before)
    beyond = length / longest - 1
    # exactly a tenth more is no spike, whatever floating points make of it
    hazard = next((h for more_than, h in HAZARDS if beyond > more_than + 1e-9), None)
    return LongestRun(length=length, longest=longest, beyond_frac=beyond, hazard=hazard)
