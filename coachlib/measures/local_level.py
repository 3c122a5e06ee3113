"""A level that wanders from week to week, smoothed in one linear solve.

Source
------
Local-level model and its smoother: for instance Durbin & Koopman (2012), Time Series Analysis by State Space
Methods, chapter 2 (from memory); the solve gives what the Kalman smoother gives.  How far the level may
wander is this project's own choice, see ``measures.trend``.
"""

import numpy as np

#: How far the level may wander in a week. [1/min]
WANDER_BPM = 2.0
#: Prior spread of the level: wide enough not to matter. [1/min]
DIFFUSE_SD_BPM = 1000.0


def local_level(
    mean_bpm: np.ndarray, variance: np.ndarray, *, wander_bpm: float = WANDER_BPM
) -> tuple[np.ndarray, np.ndarray]:
    """Smoothed level of each week and the covariance of its error, in one linear solve.

    Parameters
    ----------
    mean_bpm : ndarray, shape (n,)
        Weekly means; anything where the variance is infinite. [1/min]
    variance : ndarray, shape (n,)
        Variance of each mean, infinite where a week has none. [1/min^2]
    wander_bpm : float
        Standard deviation of the level's step from week to week. [1/min]

    Returns
    -------
    level : ndarray, shape (n,)
        [1/min]
    covariance : ndarray, shape (n, n)
        [1/min^2]

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> level, covariance = local_level(np.array([1.0, 1.0, 1.0]), np.array([4.0, np.inf, 4.0]))
    >>> level
    array([1., 1., 1.])
    """
    n = mean_bpm.size
    seen = np.isfinite(variance)
    centre = float(np.average(mean_bpm[seen], weights=1.0 / variance[seen]))
    number = np.arange(1, n + 1)
    prior = DIFFUSE_SD_BPM**2 + wander_bpm**2 * (np.minimum.outer(number, number) - 1.0)
    total = prior[np.ix_(seen, seen)] + np.diag(variance[seen])
    gain = np.linalg.solve(total, prior[seen])
    level = centre + gain.T @ (mean_bpm[seen] - centre)
    return level, prior - prior[:, seen] @ gain
