"""A series of drift tests, checked and brought to reference conditions, with what is unsure about each."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.common.constants import DAY_EFFORT_SD_BPM
from coachlib.measures.drift_test.reference_conditions import (
    HEAT_BPM_PER_C_SD,
    HEAT_PCT_PER_C_SD,
    degrees_of_heat,
    in_reference_conditions,
)

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
#: Weeks between tests whose dates are missing.  Own choice.
USUAL_WEEKS_APART = 1.0

MaximumFrom = Literal["measured", "predicted"]


@dataclass(frozen=True, slots=True, kw_only=True)
class DriftSeries:
    """Tests in the order of time, one of each a test, and what is known about the athlete.

    ``order`` says at which place each was given.  ``heat_c`` are degrees above the reference, ``weeks_apart`` the
    weeks since the test before; heart rate and drift are as measured.
    """

    first_half_bpm: tuple[float, ...]
    drift_pct: tuple[float, ...]
    se_pct: tuple[float, ...]
    temperature_c: tuple[float | None, ...]
    heat_c: tuple[float, ...]
    is_unsure: tuple[bool, ...]
    weeks_apart: tuple[float, ...]
    order: tuple[int, ...]
    criterion_pct: float
    hr_max_bpm: float | None
    hr_max_from: MaximumFrom | None
    medicine: bool

    @property
    def tests(self) -> "SeriesData":
        """The tests as the curve sees them."""
        hr, drift = in_reference_conditions(self.first_half_bpm, self.drift_pct, self.temperature_c)
        heat, unsure = np.array(self.heat_c), np.array(self.is_unsure, dtype=float)
        own = np.maximum(self.se_pct, LEAST_SE_PCT) ** 2 + (UNSURE_PCT * unsure) ** 2
        return SeriesData(
            hr_bpm=hr,
            drift_pct=drift,
            own_sd_pct=np.sqrt(own),
            sd_pct=np.sqrt(own + (HEAT_PCT_PER_C_SD * heat) ** 2),
            hr_sd_bpm=np.sqrt(
                DAY_EFFORT_SD_BPM**2 + (HEAT_BPM_PER_C_SD * heat) ** 2 + (UNSURE_BPM * unsure) ** 2
            ),
            heat_c=heat,
            weeks=np.cumsum(self.weeks_apart),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeriesData:
    """Tests as the curve sees them: heart rate and drift in reference conditions, with what is unsure.

    ``hr_sd_bpm`` is the scatter of heart rate on the day; ``own_sd_pct`` what is unsure about drift besides heat and
    the day, ``sd_pct`` with heat; ``weeks`` are since the first test.
    """

    hr_bpm: np.ndarray
    drift_pct: np.ndarray
    own_sd_pct: np.ndarray
    sd_pct: np.ndarray
    hr_sd_bpm: np.ndarray
    heat_c: np.ndarray
    weeks: np.ndarray


def drift_series(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    criterion_pct: float = CRITERION_PCT,
    hr_max_bpm: float | None = None,
    hr_max_from: MaximumFrom | None = None,
    medicine: bool = False,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    conditions_unsure: np.ndarray | Sequence[bool] | None = None,
    weeks: np.ndarray | Sequence[float] | None = None,
) -> DriftSeries:
    """Check the tests and put them into the order of time; arguments as in ``estimate_first_threshold``.

    Examples
    --------
    >>> drift_series([156, 148], [3.4, 1.0], [0.5, 0.5], weeks=[3.0, 1.0]).first_half_bpm
    (148.0, 156.0)
    """
    hr, drift, se = (np.asarray(a, dtype=float) for a in (first_half_bpm, drift_pct, se_pct))
    _check(hr, drift, se, criterion_pct, hr_max_bpm)
    heat = degrees_of_heat(temperature_c, hr.size)
    unsure = np.zeros(hr.size, dtype=bool) if conditions_unsure is None else np.asarray(conditions_unsure)
    when = USUAL_WEEKS_APART * np.arange(hr.size) if weeks is None else np.asarray(weeks, dtype=float)
    if when.shape != hr.shape or not np.isfinite(when).all():
        raise BadArgument(
            f"{hr.size} tests need {hr.size} times in weeks; {int(np.isfinite(when).sum())} were given. "
            "Give each test its day, or none of them."
        )
    order = np.argsort(when, kind="stable")
    known = [None] * hr.size if temperature_c is None else list(temperature_c)
    return DriftSeries(
        first_half_bpm=tuple(hr[order].tolist()), drift_pct=tuple(drift[order].tolist()),
        se_pct=tuple(se[order].tolist()), temperature_c=tuple(known[i] for i in order),
        heat_c=tuple(heat[order].tolist()), is_unsure=tuple(bool(unsure[i]) for i in order),
        weeks_apart=tuple(np.diff(when[order], prepend=when[order[0]]).tolist()), order=tuple(order.tolist()),
        criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm, hr_max_from=hr_max_from, medicine=medicine,
    )  # fmt: skip


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
