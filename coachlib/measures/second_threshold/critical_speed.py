"""Critical speed or power from several all-out trials.

Everything here holds for running (distance in metres, critical speed in m/s, reserve in metres) and for power
(work in joules, critical power in watts, reserve in joules).

The three forms of the two-parameter model are one curve; they differ in which axis carries the error, and
give three legitimate answers.

Source
------
Monod H, Scherrer J (1965), Ergonomics 8:329-338; Hill DW (1993), Sports Med 16:237-254; Jones AM, Vanhatalo A
(2017), Sports Med 47(S1):65-78 (all from memory).  Morton RH (1996), Ergonomics 39:611-619, for three parameters.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import BadArgument, TooLittleData, UnfitTest
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import LEVEL_FRAC

METHOD_VERSION = 1
#: Trials outside are named in a caveat. [s]  Common practice: 2 to 15 minutes.
SHORTEST_S, LONGEST_S = 120.0, 900.0
#: Fits with three parameters are unstable for trials of 3 to 10 minutes: Hill DW (2011), Int J Sports Med 32:519-522.
THREE_PARAMETER_CAVEAT = code("three parameters are unstable")


@dataclass(frozen=True, slots=True, kw_only=True)
class CriticalOutput:
    """Critical speed [m/s] or power [W] and the reserve above it [m or J].

    Bounds are None where as many trials as parameters leave nothing to judge the fit by; ``highest`` is the
    output a single instant could have, only in the three-parameter model.
    """

    critical: float
    critical_low: float | None
    critical_high: float | None
    critical_se: float | None
    reserve: float
    reserve_low: float | None
    reserve_high: float | None
    reserve_se: float | None
    highest: float | None
    n: int
    level_frac: float
    form: str
    method: str
    caveats: tuple[Code, ...]


def critical_from_work_time(
    time_s: np.ndarray, work: np.ndarray, *, level_frac: float = LEVEL_FRAC
) -> CriticalOutput:
    """Line of distance (or work) on time: work = reserve + critical x time.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Duration of each all-out trial. [s]
    work : ndarray, shape (n,)
        Distance covered or work done in it. [m] or [J]
    level_frac : float
        Probability of the intervals.

    Returns
    -------
    CriticalOutput
        With t intervals on n - 2 degrees of freedom.

    Raises
    ------
    TooLittleData
        With fewer than two trials of different length.
    BadArgument
        When a duration or a distance is not positive.
    UnfitTest
        When the trials do not slow down with length.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> times, metres = np.array([233.3333, 500.0, 766.6667]), np.array([1200.0, 2400.0, 3600.0])
    >>> found = critical_from_work_time(times, metres)
    >>> found.critical, found.reserve
    (4.50, 150.0)
    """
    t, w = _trials(time_s, work, 2)
    fit = scipy.stats.linregress(t, w)
    return _result(
        "work on time",
        t,
        level_frac,
        (float(fit.slope), float(fit.intercept)),
        (float(fit.stderr), float(fit.intercept_stderr)),
    )


def critical_from_output_inverse_time(
    time_s: np.ndarray, work: np.ndarray, *, level_frac: float = LEVEL_FRAC
) -> CriticalOutput:
    """Line of speed (or power) on one over time: output = critical + reserve / time.

    Arguments, result and refusals as ``critical_from_work_time``.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> times, metres = np.array([232.0, 502.0, 770.0]), np.array([1200.0, 2400.0, 3600.0])
    >>> found = critical_from_output_inverse_time(times, metres)
    >>> found.critical, found.reserve
    (4.455553, 166.0233)
    """
    t, w = _trials(time_s, work, 2)
    fit = scipy.stats.linregress(1 / t, w / t)
    return _result(
        "output on inverse time",
        t,
        level_frac,
        (float(fit.intercept), float(fit.slope)),
        (float(fit.intercept_stderr), float(fit.stderr)),
    )


def critical_from_time_output(
    time_s: np.ndarray, work: np.ndarray, *, level_frac: float = LEVEL_FRAC
) -> CriticalOutput:
    """Hyperbola of time on speed (or power): time = reserve / (output - critical).

    Arguments, result and refusals as ``critical_from_work_time``.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> times, metres = np.array([232.0, 502.0, 770.0]), np.array([1200.0, 2400.0, 3600.0])
    >>> found = critical_from_time_output(times, metres)
    >>> found.critical, found.reserve
    (4.468826, 158.5664)
    """
    t, w = _trials(time_s, work, 2)
    output = w / t
    values, errors = _least_squares(
        lambda p: p[1] / (output - p[0]) - t, _first_guess(t, w), ([0.0, 0.0], [float(output.min()), np.inf])
    )
    return _result("time on output", t, level_frac, values, errors)


def critical_three_parameter(
    time_s: np.ndarray, work: np.ndarray, *, level_frac: float = LEVEL_FRAC
) -> CriticalOutput:
    """Three-parameter hyperbola: time = reserve / (output - critical) - reserve / (highest - critical).

    Arguments and refusals as ``critical_from_work_time``, with at least four trials.  Read it with its caveat.

    Source
    ------
    Morton RH (1996), Ergonomics 39:611-619.

    Examples
    --------
    >>> speeds = np.array([4.8, 5.0, 5.3, 5.8, 6.5])
    >>> times = np.array([622.2222, 355.5556, 205.5556, 109.4017, 55.5556])
    >>> found = critical_three_parameter(times, speeds * times)
    >>> found.critical, found.reserve, found.highest
    (4.50, 200.0, 9.00)
    """
    t, w = _trials(time_s, work, 4)
    output = w / t
    fastest, slowest = float(output.max()), float(output.min())
    values, errors = _least_squares(
        lambda p: p[1] / (output - p[0]) - p[1] / (p[2] - p[0]) - t,
        (*_first_guess(t, w), 1.5 * fastest),
        ([0.0, 0.0, fastest], [slowest, np.inf, 10 * fastest]),
    )
    caveats: tuple[Code, ...] = (THREE_PARAMETER_CAVEAT,)
    if values[2] > 9.9 * fastest:
        caveats += (code("highest output not told"),)
    return _result("three parameters", t, level_frac, values, errors, caveats)


#: The forms of the two-parameter model, for showing side by side.
TWO_PARAMETER_FORMS = (
    critical_from_work_time,
    critical_from_output_inverse_time,
    critical_from_time_output,
)


def _trials(time_s: np.ndarray, work: np.ndarray, least: int) -> tuple[np.ndarray, np.ndarray]:
    """Durations and work in order of length, checked."""
    t, w = np.asarray(time_s, dtype=float), np.asarray(work, dtype=float)
    if t.shape != w.shape or not (
        np.isfinite(t).all() and np.isfinite(w).all() and (t > 0).all() and (w > 0).all()
    ):
        raise BadArgument(
            f"critical speed needs a duration and a distance (or work) above 0 for each trial; found "
            f"{t.tolist()} s and {w.tolist()}. Correct or leave out the trial."
        )
    if np.unique(t).size < least:
        raise TooLittleData(
            f"this form of critical speed needs {least} trials of different length; found {np.unique(t).size}. "
            "Add trials, from 2 to 15 minutes all-out."
        )
    order = np.argsort(t, kind="stable")
    t, w = t[order], w[order]
    output = w / t
    if not output[0] > output[-1]:
        raise UnfitTest(
            f"the shortest trial must be the fastest; found {output[0]:g} over {t[0]:g} s and {output[-1]:g} over "
            f"{t[-1]:g} s. One of them was not all-out; leave it out or repeat it."
        )
    return t, w


def _first_guess(t: np.ndarray, w: np.ndarray) -> tuple[float, float]:
    """Critical output and reserve of the line of work on time, kept where the curves are defined."""
    line, slowest = scipy.stats.linregress(t, w), float((w / t).min())
    critical = min(max(float(line.slope), 0.5 * slowest), 0.98 * slowest)
    return critical, max(float(line.intercept), 0.01 * float(w.min()))


def _least_squares(
    residuals: Callable[[np.ndarray], np.ndarray],
    start: tuple[float, ...],
    bounds: tuple[list[float], list[float]],
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Parameters and their standard errors; the errors are NaN without degrees of freedom."""
    fit = scipy.optimize.least_squares(
        residuals,
        start,
        bounds=bounds,
        x_scale=np.maximum(np.abs(start), 1e-6),
        xtol=1e-14,
        ftol=1e-14,
        gtol=1e-14,
        max_nfev=5000,
    )
    freedom = fit.fun.size - len(start)
    if freedom < 1:
        return tuple(fit.x.tolist()), (np.nan,) * len(start)
    covariance = np.linalg.pinv(fit.jac.T @ fit.jac) * (fit.fun @ fit.fun) / freedom
    return tuple(fit.x.tolist()), tuple(np.sqrt(np.diag(covariance)).tolist())


def _result(
    form: str,
    t: np.ndarray,
    level_frac: float,
    values: tuple[float, ...],
    errors: tuple[float, ...],
    caveats: tuple[Code, ...] = (),
) -> CriticalOutput:
    """Values with t intervals and what to be careful about."""
    critical, reserve, *highest = values
    if not (critical > 0 and reserve > 0):
        raise UnfitTest(
            f"critical speed (or power) and its reserve must be above 0; these trials give {critical:g} and "
            f"{reserve:g}. One of the trials was not all-out; leave it out or repeat it."
        )
    freedom = t.size - len(values)
    if freedom < 1:
        caveats += (code("exact fit", n_trials=int(t.size), n_values=len(values)),)
    if t[0] < SHORTEST_S or t[-1] > LONGEST_S:
        caveats += (code("unusual lengths of trials", shortest_s=float(t[0]), longest_s=float(t[-1])),)
    critical_se, reserve_se = errors[:2] if freedom > 0 else (None, None)
    reach = float(scipy.stats.t.ppf(0.5 + level_frac / 2, freedom)) if freedom > 0 else 0.0
    critical_low, critical_high = _interval(critical, critical_se, reach)
    reserve_low, reserve_high = _interval(reserve, reserve_se, reach)
    return CriticalOutput(
        critical=critical,
        critical_low=critical_low,
        critical_high=critical_high,
        critical_se=critical_se,
        reserve=reserve,
        reserve_low=reserve_low,
        reserve_high=reserve_high,
        reserve_se=reserve_se,
        highest=highest[0] if highest else None,
        n=int(t.size),
        level_frac=level_frac,
        form=form,
        method=f"critical output, {form} {METHOD_VERSION}",
        caveats=caveats,
    )


def _interval(value: float, se: float | None, reach: float) -> tuple[float | None, float | None]:
    """Both ends, or None without a standard error."""
    return (None, None) if se is None else (value - reach * se, value + reach * se)
