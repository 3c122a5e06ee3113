"""Second threshold from a 30-minute all-out trial done alone.

Source
------
McGehee JC, Tanner CJ, Houmard JA (2005), J Strength Cond Res 19:553-558: in 27 runners and triathletes the
30-minute trial met the 4 mmol/l threshold with a standard error of 8.0 bpm and 0.21 m/s.  That heart rate is
the mean of the last 20 minutes and output that of the whole trial is common coaching practice; whether the study
did so could not be read.
"""

from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import LEVEL_FRAC
from coachlib.measures.common.sampling import time_weights, weighted_mean

METHOD = "30-minute trial 1"
#: Length of the trial and of its part that heart rate is taken from. [s]
TRIAL_S, HEART_RATE_PART_S = 1800.0, 1200.0
#: A trial below the first is refused; outside the other two it gets a caveat. [s]  Own choice: a lap button is
#: never exact, and effort falls only slowly with length.
LEAST_S, SHORTEST_S, LONGEST_S = 1500.0, 1740.0, 1980.0
#: Standard errors of estimate [1/min], [m/s] and people they come from.  McGehee et al. 2005.
SEE_BPM, SEE_MPS, N_PEOPLE = 8.0, 0.21, 27
#: Least share of time with a reading.  Own choice.
LEAST_USED_FRAC = 0.8
#: Last third against the first: further apart is no even pacing. [%]  Own choice.
UNEVEN_PCT = 5.0


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeTrial:
    """Second threshold by a 30-minute trial, with 90 % intervals from the published error.

    ``output`` is in the unit given, None where it is not known; its bounds are None for power, for which no error
    was published.  ``pace_change_pct`` compares the output of
    the last third with that of the first.
    """

    hr_bpm: float
    hr_low_bpm: float
    hr_high_bpm: float
    output: float | None
    output_low: float | None
    output_high: float | None
    pace_change_pct: float | None
    used_s: float
    method: str
    caveats: tuple[Code, ...]


def time_trial(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    output: np.ndarray,
    used: np.ndarray,
    *,
    start_s: float,
    stop_s: float,
    is_power: bool = False,
) -> TimeTrial:
    """Second threshold from a 30-minute trial on the flat, on a level belt or against the pedals.

    Parameters
    ----------
    time_s, hr_bpm : ndarray, shape (n,)
        Elapsed time and heart rate; NaN where missing. [s], [1/min]
    output : ndarray, shape (n,)
        Speed, or power with ``is_power``; NaN where missing, throughout on a treadmill that tells nothing.
        [m/s] or [W]
    used : ndarray of bool, shape (n,)
        True for heart rate that counts.
    start_s, stop_s : float
        The trial. [s]
    is_power : bool
        Whether ``output`` is power, for which no error was published.

    Returns
    -------
    TimeTrial
        Output is the mean of the whole trial, heart rate that of its last 20 minutes.

    Raises
    ------
    BadArgument
        When the arrays differ in length.
    TooLittleData
        When the trial is shorter than 25 minutes, or too little heart rate is usable.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(1800.0)
    >>> found = time_trial(t, 172 - 30 * np.exp(-t / 60), np.full(1800, 3.6), t >= 0, start_s=0, stop_s=1800)
    >>> found.hr_bpm, found.output, found.hr_low_bpm
    (172.0, 3.60, 158.3)
    """
    length_s = stop_s - start_s
    if not length_s >= LEAST_S:
        raise TooLittleData(
            f"a 30-minute trial needs at least {LEAST_S / 60:.0f} minutes; this one has {length_s / 60:.1f}. Mark the "
            "whole trial, or repeat it."
        )
    if time_s.shape != hr_bpm.shape or time_s.shape != output.shape or time_s.shape != used.shape:
        raise BadArgument(
            f"time, heart rate, output and used need one value a sample; found {time_s.size}, {hr_bpm.size}, "
            f"{output.size} and {used.size}."
        )
    weights = time_weights(time_s)
    late = (time_s >= stop_s - HEART_RATE_PART_S) & (time_s < stop_s)
    hr_weights = np.where(late & used & np.isfinite(hr_bpm), weights, 0.0)
    used_s = float(hr_weights.sum())
    if used_s < LEAST_USED_FRAC * HEART_RATE_PART_S:
        raise TooLittleData(
            f"a 30-minute trial needs {LEAST_USED_FRAC * HEART_RATE_PART_S:.0f} s of usable heart rate in its last 20 "
            f"minutes; found {used_s:.0f} s. Remove an exclusion, or repeat the trial with a better strap."
        )
    hr = weighted_mean(hr_bpm, hr_weights)
    reach = float(scipy.stats.t.ppf(0.5 + LEVEL_FRAC / 2, N_PEOPLE - 2))
    mean, change = _output_of_trial(time_s, output, weights, start_s, stop_s)
    output_low, output_high = (
        (None, None) if is_power or mean is None else (mean - reach * SEE_MPS, mean + reach * SEE_MPS)
    )
    return TimeTrial(
        hr_bpm=hr,
        hr_low_bpm=hr - reach * SEE_BPM,
        hr_high_bpm=hr + reach * SEE_BPM,
        output=mean,
        output_low=output_low,
        output_high=output_high,
        pace_change_pct=change,
        used_s=used_s,
        method=METHOD,
        caveats=_caveats(length_s, mean, change, is_power),
    )


def _output_of_trial(
    time_s: np.ndarray, output: np.ndarray, weights: np.ndarray, start_s: float, stop_s: float
) -> tuple[float | None, float | None]:
    """Mean output of the trial, and that of its last third against the first's. [any], [%]"""
    third = (stop_s - start_s) / 3

    def mean(low: float, high: float) -> float | None:
        inside = np.where((time_s >= low) & (time_s < high) & np.isfinite(output), weights, 0.0)
        return weighted_mean(output, inside) if inside.sum() >= LEAST_USED_FRAC * (high - low) else None

    whole, first, last = mean(start_s, stop_s), mean(start_s, start_s + third), mean(stop_s - third, stop_s)
    change = 100 * (last - first) / first if first and last is not None else None
    return whole, change


def _caveats(
    length_s: float, output: float | None, change_pct: float | None, is_power: bool
) -> tuple[Code, ...]:
    """What to be careful about."""
    found = [code("a trial is as good as its effort")]
    if length_s < SHORTEST_S or length_s > LONGEST_S:
        found.append(code("trial not of 30 minutes", minutes=length_s / 60, is_short=length_s < SHORTEST_S))
    if output is None:
        found.append(code("output missing in the trial"))
    elif is_power:
        found.append(code("no published error for power"))
    if change_pct is not None and abs(change_pct) > UNEVEN_PCT:
        found.append(code("uneven pacing", change_pct=change_pct))
    return tuple(found)
