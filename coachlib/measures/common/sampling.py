"""Time weights: what each sample of an unevenly sampled recording stands for."""

import numpy as np

#: A sample stands for the time to the next one, but never for more than this: beyond it the sensor was
#: silent or the athlete stood still.  This project's own choice; recorders that save space leave steps of
#: up to about 10 s without a pause.
LONGEST_STEP_S = 10.0


def time_weights(time_s: np.ndarray, used: np.ndarray | None = None) -> np.ndarray:
    """Seconds each sample represents.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time, increasing. [s]
    used : ndarray of bool, shape (n,), optional
        True for samples that count; the others weigh nothing.

    Returns
    -------
    ndarray, shape (n,)
        Time to the next sample, at most ``LONGEST_STEP_S``; the last sample stands for as long as the
        median step (at most ``LONGEST_STEP_S``). [s]

    Source
    ------
    This project's own choice: a mean of rows is no time mean where the recorder saves space.

    Examples
    --------
    >>> time_weights(np.array([0.0, 1.0, 3.0, 60.0]))
    array([ 1.,  2., 10.,  2.])
    """
    if time_s.size == 0:
        return np.zeros(0)
    steps = np.diff(time_s)
    last = float(np.median(steps)) if steps.size else 1.0
    weights = np.minimum(np.append(steps, last), LONGEST_STEP_S)
    return weights if used is None else np.where(used, weights, 0.0)


def weighted_mean(values: np.ndarray, weights_s: np.ndarray) -> float:
    """Mean of the values that are there, weighted by the seconds they stand for; NaN where there are none.

    Examples
    --------
    >>> weighted_mean(np.array([100.0, np.nan, 160.0]), np.array([1.0, 5.0, 2.0]))
    140.0
    """
    weights_s = np.where(np.isfinite(values), weights_s, 0.0)
    total = weights_s.sum()
    return (
        float((np.where(weights_s > 0, values, 0.0) * weights_s).sum() / total) if total > 0 else float("nan")
    )


def is_beating(hr_bpm: np.ndarray) -> np.ndarray:
    """Samples that hold a heart rate: a number above 0.

    Parameters
    ----------
    hr_bpm : ndarray, shape (n,)
        Heart rate. [1/min]

    Examples
    --------
    >>> is_beating(np.array([150.0, 0.0, np.nan])).tolist()
    [True, False, False]
    """
    return np.isfinite(hr_bpm) & (hr_bpm > 0)
