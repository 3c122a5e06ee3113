"""The heart rate at which drift over an hour is the criterion, from a series of drift tests.

"Threshold" here is the mean heart rate of the **first half** of an hour's steady exercise at which
expected drift is the criterion (5 % unless said), in reference conditions (21 degC, moving air).  That
5 % marks the first threshold is common practice, not a published standard: the result is an estimate of
the heart rate at 5 % drift and should be held against an independent method.

All functions take the tests in the same way: first-half mean heart rate [1/min], drift brought to an
hour [%], its standard error within the run [%], one of each a test, in any order.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.measures.first_threshold import drift_curve
from coachlib.measures.first_threshold.drift_series import CRITERION_PCT, series_data
from coachlib.measures.first_threshold.series_caveats import caveats_of_series, held_ends

METHOD = "drift series 2"


@dataclass(frozen=True, slots=True, kw_only=True)
class FirstThreshold:
    """Heart rate at the drift criterion: best guess, 90 % interval, middle half of the probability.

    ``bounded`` says which ends the tests themselves hold: "both"; "below" (only a lower bound: read
    "at least ``hr_low_bpm``"); "above" (only an upper bound: read "at most ``hr_high_bpm``").
    """

    hr_bpm: float
    hr_low_bpm: float
    hr_high_bpm: float
    hr_q25_bpm: float
    hr_q75_bpm: float
    bounded: str
    criterion_pct: float
    n_tests: int
    method: str
    caveats: tuple[str, ...]

    @property
    def width_bpm(self) -> float:
        """Width of the 90 % interval [1/min]."""
        return self.hr_high_bpm - self.hr_low_bpm


def estimate_first_threshold(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    criterion_pct: float = CRITERION_PCT,
    hr_max_bpm: float | None = None,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    conditions_unsure: np.ndarray | Sequence[bool] | None = None,
) -> FirstThreshold:
    """Estimate the heart rate at the drift criterion from one to many tests.

    Parameters
    ----------
    first_half_bpm : array of float, shape (n,)
        Mean heart rate of the first half of each test's window. [1/min]
    drift_pct : array of float, shape (n,)
        Halves drift, brought to an hour. [%]
    se_pct : array of float, shape (n,)
        Standard error within the run, brought to an hour. [%]
    criterion_pct : float
        Drift over an hour that marks the threshold. [%]
    hr_max_bpm : float, optional
        The athlete's maximal heart rate, where known. [1/min]
    temperature_c : array of float, shape (n,), optional
        Air temperature; None or NaN where it was not measured. [degC]
    conditions_unsure : array of bool, shape (n,), optional
        True where conditions were bad in a way that was not measured; such a test counts for less.

    Returns
    -------
    FirstThreshold
        Median, 90 % and 50 % interval. [1/min]

    Raises
    ------
    TooLittleData
        Where there is no test.
    BadArgument
        Where numbers are missing or impossible.

    Notes
    -----
    - Only temperature is corrected; everything else that differs between days is scatter.

    Source
    ------
    This project's own choice: a posterior over a family of curves, see ``measures.first_threshold.drift_curve``.  The
    usual ways (nearest test, straight line between tests) need tests on both sides and give no interval.

    Examples
    --------
    >>> found = estimate_first_threshold([148, 156, 163], [1.0, 3.4, 7.1], [0.5, 0.5, 0.5], hr_max_bpm=190)
    >>> found.bounded, found.hr_low_bpm < found.hr_bpm < found.hr_high_bpm
    ('both', True)
    >>> round(found.hr_bpm)
    160
    """
    data = series_data(
        first_half_bpm, drift_pct, se_pct, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm,
        temperature_c=temperature_c, conditions_unsure=conditions_unsure,
    )  # fmt: skip
    posterior = drift_curve.fit(data, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm)
    bounded = held_ends(data, criterion_pct)
    caveats = caveats_of_series(
        data, np.asarray(drift_pct, float), criterion_pct, bounded, hr_max_bpm, temperature_c
    )
    low, q25, median, q75, high = drift_curve.quantiles(
        posterior.threshold_bpm, posterior.probability, (0.05, 0.25, 0.5, 0.75, 0.95)
    )
    return FirstThreshold(
        hr_bpm=float(median), hr_low_bpm=float(low), hr_high_bpm=float(high),
        hr_q25_bpm=float(q25), hr_q75_bpm=float(q75), bounded=bounded, criterion_pct=criterion_pct,
        n_tests=int(data.hr_bpm.size), method=METHOD, caveats=caveats,
    )  # fmt: skip


def threshold_posterior(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    criterion_pct: float = CRITERION_PCT,
    hr_max_bpm: float | None = None,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    conditions_unsure: np.ndarray | Sequence[bool] | None = None,
) -> tuple[np.ndarray, np.ndarray]:
    """Heart rates [1/min] and the probability that the threshold lies at each, for a chart.

    Arguments as in ``estimate_first_threshold``.

    Source
    ------
    This project's own choice, see ``estimate_first_threshold``.

    Examples
    --------
    >>> hr_bpm, probability = threshold_posterior([155], [5.0], [0.5])
    >>> float(probability.sum())
    1.0
    """
    data = series_data(
        first_half_bpm, drift_pct, se_pct, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm,
        temperature_c=temperature_c, conditions_unsure=conditions_unsure,
    )  # fmt: skip
    posterior = drift_curve.fit(data, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm)
    return posterior.threshold_bpm, posterior.probability


def probability_below(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    hr_bpm: float,
    criterion_pct: float = CRITERION_PCT,
    hr_max_bpm: float | None = None,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    conditions_unsure: np.ndarray | Sequence[bool] | None = None,
) -> float:
    """Probability that the threshold lies below ``hr_bpm``; other arguments as in the estimate.

    Source
    ------
    This project's own choice, see ``estimate_first_threshold``.

    Examples
    --------
    >>> probability_below([148, 156, 163], [1.0, 3.4, 7.1], [0.5, 0.5, 0.5], hr_bpm=148.0) < 0.05
    True
    """
    threshold, probability = threshold_posterior(
        first_half_bpm, drift_pct, se_pct, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm,
        temperature_c=temperature_c, conditions_unsure=conditions_unsure,
    )  # fmt: skip
    return drift_curve.share_below(threshold, probability, hr_bpm)


def curve_band(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    at_bpm: np.ndarray,
    criterion_pct: float = CRITERION_PCT,
    hr_max_bpm: float | None = None,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    conditions_unsure: np.ndarray | Sequence[bool] | None = None,
) -> np.ndarray:
    """Expected drift at some heart rates: 5 %, 50 % and 95 % of the curves, for a chart.

    Other arguments as in ``estimate_first_threshold``.

    Returns
    -------
    ndarray, shape (3, n)
        Low, median and high drift over an hour at each of ``at_bpm``. [%]

    Source
    ------
    This project's own choice, see ``estimate_first_threshold``.

    Examples
    --------
    >>> low, median, high = curve_band([148, 156, 163], [1.0, 3.4, 7.1], [0.5] * 3, at_bpm=np.array([150.0]))
    >>> bool(low[0] < median[0] < high[0])
    True
    """
    data = series_data(
        first_half_bpm, drift_pct, se_pct, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm,
        temperature_c=temperature_c, conditions_unsure=conditions_unsure,
    )  # fmt: skip
    posterior = drift_curve.fit(data, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm)
    return np.quantile(posterior.drift_at(np.asarray(at_bpm, dtype=float)), (0.05, 0.5, 0.95), axis=0)


def pull_of_each_test(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    criterion_pct: float = CRITERION_PCT,
    hr_max_bpm: float | None = None,
    temperature_c: np.ndarray | Sequence[float | None] | None = None,
    conditions_unsure: np.ndarray | Sequence[bool] | None = None,
) -> np.ndarray:
    """How far [1/min] each test moves the best guess: median with it minus median without it.

    Arguments as in ``estimate_first_threshold``.  A single test is set against the prior.

    Source
    ------
    This project's own choice: leave one out.

    Examples
    --------
    >>> pull = pull_of_each_test([150, 155, 160], [0.5, 1.0, 7.0], [0.5, 0.5, 0.5], hr_max_bpm=185)
    >>> bool(pull[1] > 0 > pull[2])
    True
    """
    data = series_data(
        first_half_bpm, drift_pct, se_pct, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm,
        temperature_c=temperature_c, conditions_unsure=conditions_unsure,
    )  # fmt: skip
    posterior = drift_curve.fit(data, criterion_pct=criterion_pct, hr_max_bpm=hr_max_bpm)
    grid = posterior.threshold_bpm
    median = drift_curve.quantiles(grid, posterior.probability, (0.5,))[0]
    without = [
        drift_curve.quantiles(grid, posterior.probability_without(i), (0.5,))[0]
        for i in range(data.hr_bpm.size)
    ]
    return median - np.array(without)
