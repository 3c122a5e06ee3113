"""The athlete's own line of heart rate on oxygen demand or power, learnt from tests at known settings.

Source
------
A straight line with a conjugate normal update.  Prior slope: ``measures.output.slopes``, by the ACSM running equation
(12 ml/kg/min per m/s) on oxygen demand.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.errors import TooLittleData
from coachlib.measures.common.constants import DAY_HR_SD_BPM, Z90
from coachlib.measures.drift_test.reference_conditions import (
    HEAT_BPM_PER_C,
    HEAT_BPM_PER_C_SD,
    degrees_of_heat,
)
from coachlib.measures.first_threshold.estimate import FirstThreshold
from coachlib.measures.output import energy
from coachlib.measures.output.slopes import CYCLING_SLOPE, RUNNING_SLOPE

#: Slope of heart rate: on oxygen demand [1/min per ml/kg/min], on power [1/min per W], and its spread.
DEMAND_SLOPE = RUNNING_SLOPE.mean / energy.LEVEL_VO2_PER_MPS
DEMAND_SLOPE_SD = RUNNING_SLOPE.sd / energy.LEVEL_VO2_PER_MPS
POWER_SLOPE, POWER_SLOPE_SD = CYCLING_SLOPE.mean, CYCLING_SLOPE.sd
#: Heart rate at a usual setting as a share of the maximum; without a maximum, in beats. [1/min]  Own choice.
USUAL_SHARE_OF_MAX, USUAL_SD_BPM = 0.80, 15.0
USUAL_BPM, USUAL_BPM_SD = 148.0, 20.0
#: Below this belt speed a test is a walk. [m/s]  ACSM (2018), upper end of the walking equation.
RUNNING_FROM_MPS = 1.9


@dataclass(frozen=True, slots=True, kw_only=True)
class HeartRateLine:
    """Heart rate as a straight line on oxygen demand or power: ``level`` at ``centre`` and ``slope``.

    ``level_sd``, ``slope_sd`` and ``correlation`` are what remains unsure; ``day_sd_bpm`` comes on top
    for a single day.
    """

    centre: float
    level_bpm: float
    slope: float
    level_sd_bpm: float
    slope_sd: float
    correlation: float
    day_sd_bpm: float
    n_tests: int

    def at(self, demand: float | np.ndarray) -> np.ndarray:
        """Expected heart rate [1/min]."""
        return self.level_bpm + self.slope * (np.asarray(demand, dtype=float) - self.centre)

    def sd_at(self, demand: float | np.ndarray) -> np.ndarray:
        """Spread [1/min] of the heart rate of one day, the line's own doubt included."""
        x = np.asarray(demand, dtype=float) - self.centre
        line = self.level_sd_bpm**2 + (x * self.slope_sd) ** 2
        line = line + 2.0 * x * self.correlation * self.level_sd_bpm * self.slope_sd
        return np.sqrt(line + self.day_sd_bpm**2)


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputAtThreshold:
    """Oxygen demand [ml/kg/min] or power [W] at the threshold's heart rate, with a 90 % interval."""

    value: float
    low: float
    high: float


def heart_rate_line(
    demand: np.ndarray | Sequence[float],
    hr_bpm: np.ndarray | Sequence[float],
    *,
    prior_slope: float,
    prior_slope_sd: float,
    hr_max_bpm: float | None = None,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    centre: float | None = None,
) -> HeartRateLine:
    """Learn the athlete's line of heart rate on demand from the tests so far.

    Parameters
    ----------
    demand : array of float, shape (n,)
        Oxygen demand [ml/kg/min] or power [W] of each test.
    hr_bpm : array of float, shape (n,)
        First-half mean heart rate. [1/min]
    prior_slope, prior_slope_sd : float
        What slope is usual: ``DEMAND_SLOPE`` and its spread, or ``POWER_SLOPE`` and its spread.
    hr_max_bpm : float, optional
        Maximal heart rate. [1/min]
    temperature_c : array of float, shape (n,), optional
        Air temperature; heart rate is brought back to 21 degC. [degC]
    centre : float, optional
        The usual setting at which the prior knows the level; the mean of the tests where not given.

    Raises
    ------
    TooLittleData
        Where there is no test.

    Source
    ------
    Conjugate update of a straight line with known scatter (any textbook of Bayesian regression); the
    priors are this module's constants.

    Examples
    --------
    >>> line = heart_rate_line([41.0, 44.6, 44.0], [142, 151, 150], prior_slope=2.2, prior_slope_sd=0.45)
    >>> bool(line.at(44.6) > line.at(41.0)), line.n_tests
    (True, 3)
    """
    x, y = np.asarray(demand, dtype=float), np.asarray(hr_bpm, dtype=float)
    if not x.size:
        raise TooLittleData(
            "a heart-rate line needs at least 1 test with known settings; 0 were given. Type them in."
        )
    centre = float(x.mean()) if centre is None else centre
    heat = degrees_of_heat(temperature_c, x.size)
    weights = 1.0 / (DAY_HR_SD_BPM**2 + (HEAT_BPM_PER_C_SD * heat) ** 2)
    level, level_sd = (
        (USUAL_BPM, USUAL_BPM_SD) if hr_max_bpm is None else (USUAL_SHARE_OF_MAX * hr_max_bpm, USUAL_SD_BPM)
    )
    design = np.stack((np.ones(x.size), x - centre), axis=1)
    prior_precision = np.diag((level_sd**-2, prior_slope_sd**-2))
    covariance = np.linalg.inv(prior_precision + design.T @ (weights[:, None] * design))
    mean = covariance @ (
        prior_precision @ (level, prior_slope) + design.T @ (weights * (y - HEAT_BPM_PER_C * heat))
    )
    sds = np.sqrt(np.diag(covariance))
    return HeartRateLine(
        centre=centre, level_bpm=float(mean[0]), slope=float(mean[1]),
        level_sd_bpm=float(sds[0]), slope_sd=float(sds[1]),
        correlation=float(covariance[0, 1] / (sds[0] * sds[1])), day_sd_bpm=DAY_HR_SD_BPM, n_tests=x.size,
    )  # fmt: skip


def output_at_threshold(line: HeartRateLine, threshold: FirstThreshold) -> OutputAtThreshold:
    """Demand or power at the threshold's heart rate, with a 90 % interval.

    Source
    ------
    Delta method on the line's own doubt and the threshold's interval; own choice, as both are only roughly
    normal.

    Examples
    --------
    >>> from coachlib.measures.first_threshold.estimate import estimate_first_threshold
    >>> line = heart_rate_line([200.0, 220.0], [140, 148], prior_slope=0.34, prior_slope_sd=0.1)
    >>> threshold = estimate_first_threshold([140, 148], [3.0, 6.0], [0.5, 0.5])
    >>> found = output_at_threshold(line, threshold)
    >>> found.low < found.value < found.high
    True
    """
    x = (threshold.hr_bpm - line.level_bpm) / line.slope
    line_variance = max(float(line.sd_at(line.centre + x)) ** 2 - line.day_sd_bpm**2, 0.0)
    below = float(
        np.hypot(Z90 * np.sqrt(line_variance), threshold.hr_bpm - threshold.hr_low_bpm) / line.slope
    )
    above = float(
        np.hypot(Z90 * np.sqrt(line_variance), threshold.hr_high_bpm - threshold.hr_bpm) / line.slope
    )
    value = line.centre + x
    return OutputAtThreshold(value=value, low=value - below, high=value + above)


def demand_on_treadmill(
    speed_mps: np.ndarray | Sequence[float], grade: np.ndarray | Sequence[float]
) -> np.ndarray:
    """Oxygen demand [ml/kg/min] of belt speeds and grades: walking below 1.9 m/s, running above.

    Source
    ------
    ACSM (2018), Table 6.3, see ``measures.output.energy``; the limit is the upper end of its walking range.

    Examples
    --------
    >>> demand_on_treadmill([1.5, 10 / 3.6], [0.10, 0.05])
    array([28.7   , 44.3333])
    """
    speed, slope = np.asarray(speed_mps, dtype=float), np.asarray(grade, dtype=float)
    return np.array(
        [
            energy.vo2_walking_acsm(v, g) if v < RUNNING_FROM_MPS else energy.vo2_running_acsm(v, g)
            for v, g in zip(speed.tolist(), slope.tolist(), strict=True)
        ]
    )
