"""A series of drift tests, checked and brought to reference conditions, with what is unsure about each."""

from collections.abc import Sequence

import numpy as np

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.drift_test.reference_conditions import (
    HEAT_BPM_PER_C_SD,
    HEAT_PCT_PER_C_SD,
    degrees_of_heat,
    in_reference_conditions,
)
from coachlib.measures.first_threshold import drift_curve
from coachlib.measures.first_threshold.drift_curve import SeriesData

#: Drift that is commonly read as the first threshold, for an hour. [%]  Common practice, no source.
CRITERION_PCT = 5.0
#: Criteria outside this range are no drift that anybody looks for. [%]  Own choice.
CRITERION_RANGE_PCT = (1.0, 15.0)
#: Added where conditions were bad in a way nobody measured. [%], [1/min]  Own choice.
UNSURE_PCT, UNSURE_BPM = 1.0, 2.0
#: A standard error is never believed below this. [%]  Own choice: rounding of heart rate alone.
LEAST_SE_PCT = 0.15
#: Standard error for a test known only by two typed half means, for an hour. [%]  Own choice: what an
#: hour's drift errs by in simulation when artefacts, pauses and dropouts were not taken out (1.4).
TYPED_SE_PCT = 1.4


def series_data(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    criterion_pct: float,
    hr_max_bpm: float | None,
    temperature_c: np.ndarray | Sequence[float | None] | None,
    conditions_unsure: np.ndarray | Sequence[bool] | None,
) -> SeriesData:
    """The tests, checked and brought to reference conditions."""
    hr, drift, se = (np.asarray(a, dtype=float) for a in (first_half_bpm, drift_pct, se_pct))
    _check(hr, drift, se, criterion_pct, hr_max_bpm)
    heat = degrees_of_heat(temperature_c, hr.size)
    unsure = np.zeros(hr.size) if conditions_unsure is None else np.asarray(conditions_unsure, dtype=float)
    corrected_hr, corrected_drift = in_reference_conditions(hr, drift, temperature_c)
    return SeriesData(
        hr_bpm=corrected_hr,
        drift_pct=corrected_drift,
        sd_pct=np.sqrt(
            np.maximum(se, LEAST_SE_PCT) ** 2 + (HEAT_PCT_PER_C_SD * heat) ** 2 + (UNSURE_PCT * unsure) ** 2
        ),
        hr_sd_bpm=np.sqrt(
            drift_curve.DAY_SD_BPM**2 + (HEAT_BPM_PER_C_SD * heat) ** 2 + (UNSURE_BPM * unsure) ** 2
        ),
    )


def _check(
    hr: np.ndarray, drift: np.ndarray, se: np.ndarray, criterion_pct: float, hr_max_bpm: float | None
) -> None:
    """Refuse what no series can be."""
    if not hr.size:
        raise TooLittleData("a threshold from a series needs at least 1 drift test; 0 were given. Do one.")
    if not hr.shape == drift.shape == se.shape or hr.ndim != 1:
        raise BadArgument(
            "each test needs a heart rate, a drift and a standard error; "
            f"{hr.size}, {drift.size} and {se.size} were given. Give one of each a test."
        )
    low, high = CRITERION_RANGE_PCT
    if not low <= criterion_pct <= high:
        raise BadArgument(
            f"the drift criterion must lie between {low:g} and {high:g} %; {criterion_pct:g} % was given. "
            "Common practice is 5 %."
        )
    for i, (h, d, s) in enumerate(zip(hr, drift, se, strict=True), start=1):
        if not (30.0 <= h <= 250.0 and np.isfinite(d) and np.isfinite(s) and s >= 0):
            raise BadArgument(
                f"test {i} has heart rate {h:g} bpm, drift {d:g} %, standard error {s:g} %; a heart rate "
                "between 30 and 250 bpm and finite numbers are needed. Leave the test out or correct it."
            )
    if hr_max_bpm is not None and not 100.0 <= hr_max_bpm <= 240.0:
        raise BadArgument(
            f"the maximal heart rate must lie between 100 and 240 bpm; {hr_max_bpm:g} was given. "
            "Correct it, or leave it out."
        )
