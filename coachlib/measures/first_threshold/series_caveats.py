"""What a series of drift tests leaves open: which ends of the interval it holds, and what to be careful about."""

from collections.abc import Sequence

import numpy as np

from coachlib.measures.drift_test.reference_conditions import (
    HEAT_BPM_PER_C,
    HEAT_PCT_PER_C,
    REFERENCE_C,
    degrees_of_heat,
)
from coachlib.measures.first_threshold.drift_curve import SeriesData

#: The series bounds the threshold from above once a test shows, beyond its own standard error, this share
#: of the criterion (3 % of 5 %).  Own choice: below it the upper end is made by the prior.
REACHED_FRAC = 0.6
#: A drift outside this range is a sign of something wrong before it is physiology. [%]  Own choice.
ODD_LOW_PCT, ODD_HIGH_PCT = -1.5, 10.0
#: Beyond this the heat correction is stretched further than the studies behind it. [degC]
HOT_C = 35.0


def held_ends(data: SeriesData, criterion_pct: float) -> str:
    """Which ends of the interval the tests hold, beyond their standard errors."""
    lowest_likely = data.drift_pct - data.sd_pct
    if (lowest_likely > criterion_pct).all():
        return "above"
    return "both" if (lowest_likely >= REACHED_FRAC * criterion_pct).any() else "below"


def caveats_of_series(
    data: SeriesData,
    drift_pct: np.ndarray,
    criterion_pct: float,
    bounded: str,
    hr_max_bpm: float | None,
    temperature_c: np.ndarray | Sequence[float | None] | None,
) -> tuple[str, ...]:
    """What to be careful about, in sentences."""
    said = []
    if bounded == "below":
        said.append(
            f"no test has clearly reached {REACHED_FRAC * criterion_pct:.2g} % drift: only the lower "
            "bound comes from the tests, best guess and upper end come from what is usual"
        )
    if bounded == "above":
        said.append(
            f"every test lies above {criterion_pct:g} % drift: only the upper bound comes from the tests, "
            "best guess and lower end come from what is usual"
        )
    if data.hr_bpm.size == 1:
        said.append("one test can rarely tell: repeat it, or test at another setting")
    if hr_max_bpm is None:
        said.append("maximal heart rate unknown: the estimate starts from a wider guess")
    elif data.hr_bpm.max() > hr_max_bpm:
        said.append(
            f"a test at {data.hr_bpm.max():.0f} bpm lies above the maximal heart rate of {hr_max_bpm:.0f}: "
            "one of the two is wrong"
        )
    heat = degrees_of_heat(temperature_c, data.hr_bpm.size)
    if heat.any():
        said.append(
            f"brought back to {REFERENCE_C:g} degC: {int((heat > 0).sum())} of {heat.size} tests, the "
            f"hottest by {HEAT_BPM_PER_C * heat.max():.1f} bpm and {HEAT_PCT_PER_C * heat.max():.1f} % drift"
        )
    if (heat > HOT_C - REFERENCE_C).any():
        said.append(
            f"a test above {HOT_C:g} degC: the correction is stretched further than the studies behind it"
        )
    for value in drift_pct[(drift_pct < ODD_LOW_PCT) | (drift_pct > ODD_HIGH_PCT)]:
        said.append(
            f"a drift of {value:.1f} % is unusual: look for a change of settings, a missing warm-up or "
            "artefacts"
        )
    if _contradict(data):
        said.append(
            "tests contradict each other: one at a lower heart rate drifted clearly more than a higher one"
        )
    return tuple(said)


def _contradict(data: SeriesData) -> bool:
    """Whether a test at least 2 bpm lower drifted more, beyond ordinary day-to-day scatter (SD 1 %)."""
    rise = data.hr_bpm[None, :] - data.hr_bpm[:, None]
    excess = data.drift_pct[:, None] - data.drift_pct[None, :]
    scatter = np.sqrt(data.sd_pct[:, None] ** 2 + data.sd_pct[None, :] ** 2 + 2.0)
    return bool(((rise >= 2.0) & (excess > 1.645 * scatter)).any())
