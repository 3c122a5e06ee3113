"""An athlete's own line of heart rate on output, and the output that belongs to a heart rate.

Source
------
Fieller EC (1954), J R Stat Soc B 16:175-185 (from memory); the limits as in Greenwell BM, Schubert Kabban CM
(2014), R Journal 6(1):90-100, doi 10.32614/RJ-2014-009.
"""

import math
from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import BadArgument, TooLittleData, UnfitTest

METHOD = "heart-rate line, Fieller 1"
#: Probability the interval is made for.
LEVEL_FRAC = 0.90


@dataclass(frozen=True, slots=True, kw_only=True)
class CalibrationLine:
    """Straight line of heart rate on output; ``residual_sd_bpm`` is the scatter about it.

    ``slope`` is in bpm for each unit of output, ``sum_squares`` that of the outputs about their mean.
    """

    intercept_bpm: float
    slope: float
    slope_se: float
    residual_sd_bpm: float
    r: float
    n: int
    output_mean: float
    output_low: float
    output_high: float
    sum_squares: float
    method: str

    def hr_at(self, output: float) -> float:
        """Heart rate on the line. [1/min]"""
        return self.intercept_bpm + self.slope * output

    def output_on_line(self, hr_bpm: float) -> float:
        """Output on the line, without its interval."""
        return (hr_bpm - self.intercept_bpm) / self.slope


@dataclass(frozen=True, slots=True, kw_only=True)
class OutputAtHeartRate:
    """Output at a heart rate with its interval; ``g`` near 1 means that the slope is hardly known."""

    output: float
    output_low: float
    output_high: float
    hr_bpm: float
    level_frac: float
    g: float
    method: str
    caveats: tuple[str, ...]


def calibration_line(output: np.ndarray, hr_bpm: np.ndarray) -> CalibrationLine:
    """Least-squares line of heart rate on output.

    Parameters
    ----------
    output : ndarray, shape (n,)
        Speed or power, one settled stage a value. [m/s] or [W]
    hr_bpm : ndarray, shape (n,)
        Heart rate of the stage; NaN pairs are left out. [1/min]

    Raises
    ------
    BadArgument
        When there is not one heart rate for each output.
    TooLittleData
        With fewer than three stages.
    UnfitTest
        When output does not vary, or heart rate does not rise with it.

    Source
    ------
    Ordinary least squares.  Values must come from settled stages: on a ramp heart rate lags and the slope
    comes out at half its size.

    Examples
    --------
    >>> line = calibration_line(np.array([100.0, 150.0, 200.0, 250.0]), np.array([110.0, 127.0, 143.0, 160.0]))
    >>> line.slope, line.intercept_bpm
    (0.332, 76.9)
    """
    output, hr_bpm = np.asarray(output, dtype=float), np.asarray(hr_bpm, dtype=float)
    if output.shape != hr_bpm.shape:
        raise BadArgument(
            f"a line of heart rate on output needs one heart rate for each output; found {output.size} and "
            f"{hr_bpm.size}. Leave an unknown one empty."
        )
    there = np.isfinite(output) & np.isfinite(hr_bpm)
    x, y = output[there], hr_bpm[there]
    if x.size < 3:
        raise TooLittleData(
            f"a line of heart rate on output needs 3 stages; found {x.size}. Add stages at other speeds or powers."
        )
    if np.ptp(x) == 0:
        raise UnfitTest(
            f"a line of heart rate on output needs different outputs; all {x.size} stages are at {x[0]:g}. "
            "Add stages at other speeds or powers."
        )
    fit = scipy.stats.linregress(x, y)
    if not fit.slope > 0:
        raise UnfitTest(
            f"heart rate must rise with output; over {x.size} stages it changes by {fit.slope:g} bpm for each unit. "
            "Check the stages' order and numbers."
        )
    residual = y - fit.intercept - fit.slope * x
    return CalibrationLine(
        intercept_bpm=float(fit.intercept),
        slope=float(fit.slope),
        slope_se=float(fit.stderr),
        residual_sd_bpm=math.sqrt(float(residual @ residual) / (x.size - 2)),
        r=float(fit.rvalue),
        n=int(x.size),
        output_mean=float(x.mean()),
        output_low=float(x.min()),
        output_high=float(x.max()),
        sum_squares=float(((x - x.mean()) ** 2).sum()),
        method=METHOD,
    )


def output_at_mean(
    line: CalibrationLine, hr_bpm: float, *, level_frac: float = LEVEL_FRAC
) -> OutputAtHeartRate:
    """Output at which heart rate is ``hr_bpm`` on average.

    Parameters
    ----------
    line : CalibrationLine
        The athlete's own line.
    hr_bpm : float
        Heart rate looked for, for instance a threshold. [1/min]
    level_frac : float
        Probability of the interval.

    Returns
    -------
    OutputAtHeartRate
        Value and Fieller interval in the line's unit of output.

    Raises
    ------
    UnfitTest
        When the slope is too unsure for a finite interval.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> line = calibration_line(np.array([100.0, 150.0, 200.0, 250.0]), np.array([110.0, 127.0, 143.0, 160.0]))
    >>> found = output_at_mean(line, 150)
    >>> found.output, found.output_low, found.output_high
    (220.2, 218.4, 222.0)
    """
    return _inverse(line, hr_bpm, level_frac, one_reading=0.0)


def output_at_reading(
    line: CalibrationLine, hr_bpm: float, *, level_frac: float = LEVEL_FRAC
) -> OutputAtHeartRate:
    """Output behind a single observed heart rate: wider than ``output_at_mean`` by that reading's scatter.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> line = calibration_line(np.array([100.0, 150.0, 200.0, 250.0]), np.array([110.0, 127.0, 143.0, 160.0]))
    >>> found = output_at_reading(line, 150)
    >>> found.output_low, found.output_high
    (216.9, 223.5)
    """
    return _inverse(line, hr_bpm, level_frac, one_reading=1.0)


def _inverse(
    line: CalibrationLine, hr_bpm: float, level_frac: float, *, one_reading: float
) -> OutputAtHeartRate:
    """Fieller's limits; ``one_reading`` is 1 over the number of readings that ``hr_bpm`` is the mean of."""
    if not 0 < level_frac < 1:
        raise BadArgument(f"an interval needs a probability between 0 and 1; found {level_frac:g}.")
    reach = float(scipy.stats.t.ppf(0.5 + level_frac / 2, line.n - 2)) * line.residual_sd_bpm / line.slope
    g = reach**2 / line.sum_squares
    if g >= 1:
        raise UnfitTest(
            f"the output at {hr_bpm:g} bpm cannot be told: from {line.n} stages the slope of heart rate is "
            f"{line.slope:g} +- {line.slope_se:g}. Add stages further apart."
        )
    output = line.output_on_line(hr_bpm)
    off = output - line.output_mean
    half = reach * math.sqrt(off**2 / line.sum_squares + (1 - g) * (one_reading + 1 / line.n))
    outside = not line.output_low <= output <= line.output_high
    return OutputAtHeartRate(
        output=output,
        output_low=output + (off * g - half) / (1 - g),
        output_high=output + (off * g + half) / (1 - g),
        hr_bpm=float(hr_bpm),
        level_frac=level_frac,
        g=g,
        method=METHOD,
        caveats=("The heart rate lies outside the stages; the line is prolonged.",) if outside else (),
    )
