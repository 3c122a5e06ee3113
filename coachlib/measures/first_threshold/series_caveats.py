"""What a series of drift tests leaves open: which ends of the interval it holds, and what to be careful about."""

import numpy as np

from coachlib.measures.common.codes import Code, code
from coachlib.measures.drift_test.reference_conditions import HEAT_BPM_PER_C, HEAT_PCT_PER_C, REFERENCE_C
from coachlib.measures.first_threshold.contradiction import Contradiction
from coachlib.measures.first_threshold.drift_series import DriftSeries, SeriesData

#: The series bounds the threshold from above once a test shows, beyond its own standard error, this share
#: of the criterion (3 % of 5 %).  Own choice: below it the upper end is made by the prior.
REACHED_FRAC = 0.6
#: A drift outside this range is a sign of something wrong before it is physiology. [%]  Own choice.
ODD_LOW_PCT, ODD_HIGH_PCT = -1.5, 10.0
#: Beyond this the heat correction is stretched further than the studies behind it. [degC]
HOT_C = 35.0


def held_ends(tests: SeriesData, criterion_pct: float) -> str:
    """Which ends of the interval the tests hold, beyond their standard errors."""
    lowest_likely = tests.drift_pct - tests.sd_pct
    if (lowest_likely > criterion_pct).all():
        return "above"
    return "both" if (lowest_likely >= REACHED_FRAC * criterion_pct).any() else "below"


def caveats_of_series(
    series: DriftSeries, tests: SeriesData, bounded: str, contradiction: Contradiction | None
) -> tuple[Code, ...]:
    """What to be careful about: two tests that contradict each other first."""
    found = []
    if contradiction is not None:
        more, less = contradiction.drifted_more, contradiction.drifted_less
        found.append(
            code(
                "tests contradict", more_bpm=series.first_half_bpm[more], more_pct=series.drift_pct[more],
                less_bpm=series.first_half_bpm[less], less_pct=series.drift_pct[less], n_tests=len(series.order),
            )
        )  # fmt: skip
    if bounded == "below":
        found.append(code("only a lower end held", reached_pct=REACHED_FRAC * series.criterion_pct))
    if bounded == "above":
        found.append(code("only an upper end held", criterion_pct=series.criterion_pct))
    if len(series.order) == 1:
        found.append(code("one test only"))
    found += _of_maximum(series, float(tests.hr_bpm.max()))
    n_hot = int((tests.heat_c > 0).sum())
    if n_hot:
        hottest = float(tests.heat_c.max())
        found.append(
            code(
                "brought back from heat", n_hot=n_hot, n_tests=len(series.order), reference_c=REFERENCE_C,
                most_bpm=HEAT_BPM_PER_C * hottest, most_pct=HEAT_PCT_PER_C * hottest,
            )
        )  # fmt: skip
        if hottest > HOT_C - REFERENCE_C:
            found.append(code("heat beyond the studies", hot_c=HOT_C))
    drift = np.array(series.drift_pct)
    found += [
        code("unusual drift in the series", drift_pct=value)
        for value in drift[(drift < ODD_LOW_PCT) | (drift > ODD_HIGH_PCT)].tolist()
    ]
    return tuple(found)


def _of_maximum(series: DriftSeries, highest_bpm: float) -> list[Code]:
    """What the maximal heart rate does to the estimate."""
    if series.medicine:
        return [code("no maximum under medicine")]
    if series.hr_max_bpm is None:
        return [code("maximum unknown")]
    if highest_bpm > series.hr_max_bpm:
        return [code("test above the maximum", hr_bpm=highest_bpm, hr_max_bpm=series.hr_max_bpm)]
    return (
        [code("maximum from age", hr_max_bpm=series.hr_max_bpm)] if series.hr_max_from == "predicted" else []
    )
