"""Two tests that cannot both be right: the one at the lower heart rate drifted far more.

Source
------
This project's own choice: ordinary scatter of days and of heart rate, heat and a threshold that walks together must
explain the difference; constants were chosen on simulated series (``tests/benchmarks/threshold_series.py``).
"""

from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.measures.common.constants import DAY_DRIFT_SD_PCT, DAY_EFFORT_SD_BPM
from coachlib.measures.drift_test.reference_conditions import HEAT_PCT_PER_C_SD
from coachlib.measures.first_threshold.drift_curve import MEDIAN_SLOPE
from coachlib.measures.first_threshold.drift_series import SeriesData
from coachlib.measures.first_threshold.walking import RATE_BPM

#: A test counts as not above another up to this. [1/min]
SAME_BPM = 2.0
#: Chance of one false alarm among all pairs of a series.
FALSE_ALARM = 0.02


@dataclass(frozen=True, slots=True, kw_only=True)
class Contradiction:
    """The worst pair of a series: places of the test that drifted more and of the one that drifted less."""

    drifted_more: int
    drifted_less: int
    excess_pct: float


def contradiction_in(tests: SeriesData) -> Contradiction | None:
    """The pair of tests that contradict each other most; None where scatter explains every pair.

    Examples
    --------
    >>> from coachlib.measures.first_threshold.drift_series import drift_series
    >>> found = contradiction_in(drift_series([150, 150], [1.0, 8.0], [0.5, 0.5]).tests)
    >>> (found.drifted_more, found.drifted_less)
    (1, 0)
    """
    hr, drift = tests.hr_bpm, tests.drift_pct
    above = hr[:, None] - hr[None, :]
    is_pair = (above <= SAME_BPM) & ~np.eye(hr.size, dtype=bool)
    if not is_pair.any():
        return None
    excess = drift[:, None] - drift[None, :] - MEDIAN_SLOPE * np.maximum(above, 0.0)
    apart = np.abs(tests.weeks[:, None] - tests.weeks[None, :])
    variance = (
        tests.own_sd_pct[:, None] ** 2
        + tests.own_sd_pct[None, :] ** 2
        + 2.0 * (DAY_DRIFT_SD_PCT**2 + (MEDIAN_SLOPE * DAY_EFFORT_SD_BPM) ** 2)
        + (HEAT_PCT_PER_C_SD * (tests.heat_c[:, None] - tests.heat_c[None, :])) ** 2
        + (MEDIAN_SLOPE * RATE_BPM) ** 2 * apart
    )
    z = np.where(is_pair, excess / np.sqrt(variance), -np.inf)
    more, less = np.unravel_index(int(z.argmax()), z.shape)
    if z[more, less] <= -scipy.special.ndtri(FALSE_ALARM / is_pair.sum()):
        return None
    return Contradiction(drifted_more=int(more), drifted_less=int(less), excess_pct=float(excess[more, less]))
