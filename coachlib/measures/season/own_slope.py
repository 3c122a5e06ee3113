"""The athlete's own slope of heart rate on output, from how ordinary sessions differ within a week.

Regression of heart rate on output is too flat where the athlete steers by heart rate, the reverse too steep where
by pace; the truth lies between, so the ratio of the spreads is taken, and how far the two lie apart makes its doubt.

Source
------
Geometric mean of the two regressions (reduced major axis): any textbook.  The doubt's size is this project's own
choice, from simulation (``tests/benchmarks/season_calls.py``).
"""

import numpy as np

from coachlib.measures.output.slopes import HeartRateSlope

#: Below either the sessions teach nothing.  Own choice.
LEAST_FREEDOM, LEAST_CORRELATION = 6, 0.3
#: How far the truth may lie between the two regressions, as a share of ln(1/r), and a floor.  Own choice.
BETWEEN_FRAC, FLOOR = 0.8, 0.1


def slope_of_weeks(scatter: np.ndarray, freedom: int, *, usual: HeartRateSlope) -> HeartRateSlope:
    """Slope of heart rate on output, the athlete's own as far as sessions teach it.

    Parameters
    ----------
    scatter : ndarray, shape (3,)
        Sums of products about the weeks' means: bpm times bpm, bpm times output, output times output.
    freedom : int
        Sessions less weeks, of weeks with at least two sessions.
    usual : HeartRateSlope
        What is known without them. [1/min per m/s or W]

    Returns
    -------
    HeartRateSlope
        Joined on the logarithmic scale by how sure each is.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> slope_of_weeks(np.array([400.0, 20.0, 1.0]), 20, usual=HeartRateSlope(25.0, 8.0))
    HeartRateSlope(mean=20.4, sd=1.95)
    >>> slope_of_weeks(np.array([400.0, 1.0, 1.0]), 20, usual=HeartRateSlope(25.0, 8.0))
    HeartRateSlope(mean=25.0, sd=8.0)
    """
    of_hr, of_both, of_output = scatter
    if freedom < LEAST_FREEDOM or not min(of_hr, of_output) > 0:
        return usual
    r = min(float(of_both / np.sqrt(of_hr * of_output)), 1.0)
    if r < LEAST_CORRELATION:
        return usual
    variance = (BETWEEN_FRAC * np.log(1 / r)) ** 2 + (1 - r**2) / (r**2 * freedom) + FLOOR**2
    own, prior = 1.0 / variance, (usual.mean / usual.sd) ** 2
    mean = (own * 0.5 * np.log(of_hr / of_output) + prior * np.log(usual.mean)) / (own + prior)
    return HeartRateSlope(float(np.exp(mean)), float(np.exp(mean) / np.sqrt(own + prior)))
