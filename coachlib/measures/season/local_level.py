"""A level that wanders from week to week, smoothed in one linear solve.

Source
------
Local-level model and its smoother: for instance Durbin & Koopman (2012), Time Series Analysis by State Space
Methods, chapter 2 (from memory); the solve gives what the Kalman smoother gives.  How far the level may
wander is this project's own choice, see ``measures.season.trend``.
"""

import numpy as np

#: How far the level may wander in a week. [1/min]
WANDER_BPM = 2.0
#: Prior spread of the level: wide enough not to matter. [1/min]
DIFFUSE_SD_BPM = 1000.0


def level_behind(
    week: np.ndarray, value_bpm: np.ndarray, covariance: np.ndarray, *, n_weeks: int
) -> tuple[np.ndarray, np.ndarray]:
    """Smoothed level of each week from any values, several a week or none, whose errors may hang together.

    Parameters
    ----------
    week : ndarray of int, shape (k,)
        Week of each value, counted from 0.
    value_bpm : ndarray, shape (k,)
        At least one. [1/min]
    covariance : ndarray, shape (k, k)
        Of the values' errors. [1/min^2]
    n_weeks : int
        Weeks of the season.

    Returns
    -------
    level : ndarray, shape (n_weeks,)
        [1/min]
    covariance : ndarray, shape (n_weeks, n_weeks)
        [1/min^2]

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> level, _ = level_behind(np.array([0, 0]), np.array([1.0, 3.0]), np.diag([4.0, 4.0]), n_weeks=2)
    >>> level
    array([2., 2.])
    """
    centre = float(np.average(value_bpm, weights=1.0 / np.diag(covariance)))
    prior = _prior(n_weeks)
    gain = np.linalg.solve(prior[np.ix_(week, week)] + covariance, prior[week])
    return centre + gain.T @ (value_bpm - centre), prior - prior[:, week] @ gain


def weights_of_change(
    week: np.ndarray, covariance: np.ndarray, contrast: np.ndarray
) -> tuple[np.ndarray, float]:
    """What each value weighs in a difference of levels, and the variance of that difference.

    Parameters
    ----------
    week, covariance
        As in ``level_behind``.
    contrast : ndarray, shape (n_weeks,)
        What each week's level counts in the difference; 0 in sum.

    Returns
    -------
    weights : ndarray, shape (k,)
    variance : float
        [1/min^2]

    Source
    ------
    See the module's docstring: the same solve, for one difference alone.

    Examples
    --------
    >>> weights, variance = weights_of_change(np.array([0, 1]), np.diag([1.0, 1.0]), np.array([-1.0, 1.0]))
    >>> weights, variance
    (array([-0.667, 0.667]), 1.333)
    """
    prior = _prior(contrast.size)
    towards = prior @ contrast
    weights = np.linalg.solve(prior[np.ix_(week, week)] + covariance, towards[week])
    return weights, float(contrast @ towards - towards[week] @ weights)


def _prior(n_weeks: int) -> np.ndarray:
    """Covariance of the levels before any value."""
    number = np.arange(n_weeks, dtype=float)
    return DIFFUSE_SD_BPM**2 + WANDER_BPM**2 * np.minimum.outer(number, number)
