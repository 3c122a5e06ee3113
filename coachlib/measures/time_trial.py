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
from scipy import stats

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.sampling import time_weights, weighted_mean

METHOD = "30-minute trial 1"
#: Length of the trial and of its part that heart rate is taken from. [s]
TRIAL_S, HEART_RATE_PART_S = 1800.0, 1200.0
#: A shorter trial is refused, a longer one gets a caveat. [s]  Own choice: a lap button is never exact.
SHORTEST_S, LONGEST_S = 1740.0, 1980.0
#: Standard errors of estimate [1/min], [m/s] and people they come from.  McGehee et al. 2005.
SEE_BPM, SEE_MPS, N_PEOPLE = 8.0, 0.21, 27
LEVEL_FRAC = 0.90
#: Least share of time with a reading.  Own choice.
LEAST_USED_FRAC = 0.8
#: Last against first ten minutes: further apart is no even pacing.  Own choice.
UNEVEN_FRAC = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class TimeTrial:
    """Second threshold by a 30-minute trial, with 90 % intervals from the published error.

    ``output`` is in the unit given, None without one; its bounds are None for power, for which no error
    was published.  ``pace_change_pct`` compares the last ten minutes with the first.
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
    caveats: tuple[str, ...]


def time_trial_running(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    speed_mps: np.ndarray,
    used: np.ndarray,
    *,
    start_s: float,
    stop_s: float,
) -> TimeTrial:
    """Second threshold from a 30-minute trial on the flat or on a level belt.

    Parameters
    ----------
    time_s, hr_bpm, speed_mps : ndarray, shape (n,)
        Elapsed time, heart rate and speed; NaN where missing. [s], [1/min], [m/s]
    used : ndarray of bool, shape (n,)
        True for heart rate that counts.
    start_s, stop_s : float
        The trial. [s]

    Returns
    -------
    TimeTrial
        Speed is the mean of the whole trial, heart rate that of its last 20 minutes.

    Raises
    ------
    TooLittleData
        When the trial is shorter than 29 minutes, or too little heart rate is usable.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(1800.0)
    >>> found = time_trial_running(t, 172 - 30 * np.exp(-t / 60), np.full(1800, 3.6), t >= 0, start_s=0, stop_s=1800)
    >>> found.hr_bpm, found.output, found.hr_low_bpm
    (172.0, 3.60, 158.3)
    """
    return _time_trial(time_s, hr_bpm, speed_mps, used, start_s, stop_s, SEE_MPS)


def time_trial_power(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    power_w: np.ndarray,
    used: np.ndarray,
    *,
    start_s: float,
    stop_s: float,
) -> TimeTrial:
    """As ``time_trial_running`` with power [W]; its error is not known from the study.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(1800.0)
    >>> found = time_trial_power(t, np.full(1800, 165.0), np.full(1800, 250.0), t >= 0, start_s=0, stop_s=1800)
    >>> found.output, found.output_low
    (250.0, None)
    """
    return _time_trial(time_s, hr_bpm, power_w, used, start_s, stop_s, None)


def time_trial_heart_rate(
    time_s: np.ndarray, hr_bpm: np.ndarray, used: np.ndarray, *, start_s: float, stop_s: float
) -> TimeTrial:
    """As ``time_trial_running`` where no output is known, as on a treadmill without a foot sensor.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(1800.0)
    >>> time_trial_heart_rate(t, np.full(1800, 165.0), t >= 0, start_s=0, stop_s=1800).output is None
    True
    """
    return _time_trial(time_s, hr_bpm, np.full(time_s.shape, np.nan), used, start_s, stop_s, None)


def _time_trial(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    output: np.ndarray,
    used: np.ndarray,
    start_s: float,
    stop_s: float,
    see_output: float | None,
) -> TimeTrial:
    """Means of the trial with what to be careful about."""
    length_s = stop_s - start_s
    if not length_s >= SHORTEST_S:
        raise TooLittleData(
            f"a 30-minute trial needs at least {SHORTEST_S / 60:.0f} minutes; this one has {length_s / 60:.1f}. Mark the "
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
    reach = float(stats.t.ppf(0.5 + LEVEL_FRAC / 2, N_PEOPLE - 2))
    mean, change = _output_of_trial(time_s, output, weights, start_s, stop_s)
    known = see_output is not None and mean is not None
    return TimeTrial(
        hr_bpm=hr,
        hr_low_bpm=hr - reach * SEE_BPM,
        hr_high_bpm=hr + reach * SEE_BPM,
        output=mean,
        output_low=mean - reach * see_output if known else None,  # type: ignore[operator]
        output_high=mean + reach * see_output if known else None,  # type: ignore[operator]
        pace_change_pct=change,
        used_s=used_s,
        method=METHOD,
        caveats=_caveats(length_s, mean, change),
    )


def _output_of_trial(
    time_s: np.ndarray, output: np.ndarray, weights: np.ndarray, start_s: float, stop_s: float
) -> tuple[float | None, float | None]:
    """Mean output of the trial, and its last ten minutes against the first. [any], [%]"""
    third = (stop_s - start_s) / 3

    def mean(low: float, high: float) -> float | None:
        inside = np.where((time_s >= low) & (time_s < high) & np.isfinite(output), weights, 0.0)
        return weighted_mean(output, inside) if inside.sum() >= LEAST_USED_FRAC * (high - low) else None

    whole, first, last = mean(start_s, stop_s), mean(start_s, start_s + third), mean(stop_s - third, stop_s)
    change = 100 * (last - first) / first if first and last is not None else None
    return whole, change


def _caveats(length_s: float, output: float | None, change_pct: float | None) -> tuple[str, ...]:
    """What to be careful about."""
    said = ["A trial alone is only as good as its effort; the value moves if the athlete had more to give."]
    if length_s > LONGEST_S:
        said.append(
            f"The trial lasted {length_s / 60:.0f} minutes; longer than 30, heart rate and output come out low."
        )
    if output is None:
        said.append("Speed or power is missing in too much of the trial; only heart rate is given.")
    if change_pct is not None and abs(change_pct) > 100 * UNEVEN_FRAC:
        word = "faster" if change_pct > 0 else "slower"
        said.append(f"Pacing was not even: the last third was {abs(change_pct):.0f} % {word} than the first.")
    return tuple(said)
