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
    week: np.ndarray,
    value_bpm: np.ndarray,
    covariance: np.ndarray,
    *,
    n_weeks: int,
    wander_bpm: float = WANDER_BPM,
) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
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
    wander_bpm : float
        Standard deviation of the level's step from week to week. [1/min]

    Returns
    -------
    level : ndarray, shape (n_weeks,)
        [1/min]
    covariance : ndarray, shape (n_weeks, n_weeks)
        [1/min^2]
    weights : ndarray, shape (k, n_weeks)
        What each value weighs in each week's level.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> level, _, _ = level_behind(np.array([0, 0]), np.array([1.0, 3.0]), np.diag([4.0, 4.0]), n_weeks=2)
    >>> level
    array([2., 2.])
    """
    centre = float(np.average(value_bpm, weights=1.0 / np.diag(covariance)))
    number = np.arange(1, n_weeks + 1)
    prior = DIFFUSE_SD_BPM**2 + wander_bpm**2 * (np.minimum.outer(number, number) - 1.0)
    gain = np.linalg.solve(prior[np.ix_(week, week)] + covariance, prior[week])
    level = centre + gain.T @ (value_bpm - centre)
    return level, prior - prior[:, week] @ gain, gain
