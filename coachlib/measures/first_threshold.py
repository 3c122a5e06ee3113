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

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures import drift_curve
from coachlib.measures.drift_curve import Posterior, SeriesData

METHOD = "drift series 2"
#: Drift that is commonly read as the first threshold, for an hour. [%]  Common practice, no source.
CRITERION_PCT = 5.0
#: Criteria outside this range are no drift that anybody looks for. [%]  Own choice.
CRITERION_RANGE_PCT = (1.0, 15.0)
#: Above this air temperature heart rate and drift are brought back to it. [degC]
REFERENCE_C = 21.0
#: Rise of first-half heart rate and of drift for each degree above, and how unsure these are.
#: Own choice, on the careful side of Lafrenz et al. (2008), Med Sci Sports Exerc 40:1065-1071: heart rate
#: +11 % at 35 degC against +2 % at 22 degC from minute 15 to 45, about 0.7 % per degree.
HEAT_BPM_PER_C, HEAT_BPM_PER_C_SD = 0.8, 0.3
HEAT_PCT_PER_C, HEAT_PCT_PER_C_SD = 0.4, 0.15
#: Beyond this the heat correction is stretched further than the studies behind it. [degC]
HOT_C = 35.0
#: Added where conditions were bad in a way nobody measured. [%], [1/min]  Own choice.
UNSURE_PCT, UNSURE_BPM = 1.0, 2.0
#: A standard error is never believed below this. [%]  Own choice: rounding of heart rate alone.
LEAST_SE_PCT = 0.15
#: Standard error for a test known only by two typed half means, for an hour. [%]  Own choice: what an
#: hour's drift errs by in simulation when artefacts, pauses and dropouts were not taken out (1.4).
TYPED_SE_PCT = 1.4
#: The series bounds the threshold from above once a test shows, beyond its own standard error, this share
#: of the criterion (3 % of 5 %).  Own choice: below it the upper end is made by the prior.
REACHED_FRAC = 0.6
#: A drift outside this range is a sign of something wrong before it is physiology. [%]  Own choice.
ODD_LOW_PCT, ODD_HIGH_PCT = -1.5, 10.0


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
    This project's own choice: a posterior over a family of curves, see ``measures.drift_curve``.  The
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
    bounded = _bounded(data, criterion_pct)
    caveats = _caveats(data, np.asarray(drift_pct, float), criterion_pct, bounded, hr_max_bpm, temperature_c)
    return _result(posterior, posterior.probability, data, criterion_pct, bounded, caveats)


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


def in_reference_conditions(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    temperature_c: np.ndarray | Sequence[float | None] | None,
) -> tuple[np.ndarray, np.ndarray]:
    """First-half heart rate [1/min] and drift [%] as they would have been at 21 degC.

    Source
    ------
    See ``HEAT_BPM_PER_C`` in this module.

    Examples
    --------
    >>> hr_bpm, drift_pct = in_reference_conditions([160.0], [3.0], [26.0])
    >>> hr_bpm, drift_pct
    (array([156.]), array([1.]))
    """
    heat = degrees_of_heat(temperature_c, len(first_half_bpm))
    return (
        np.asarray(first_half_bpm, dtype=float) - HEAT_BPM_PER_C * heat,
        np.asarray(drift_pct, dtype=float) - HEAT_PCT_PER_C * heat,
    )


def degrees_of_heat(temperature_c: np.ndarray | Sequence[float | None] | None, n: int) -> np.ndarray:
    """Degrees above the reference [degC], shape (n,); 0 where the temperature is unknown.

    Examples
    --------
    >>> degrees_of_heat([25.0, None, 10.0], 3)
    array([4., 0., 0.])
    """
    if temperature_c is None:
        return np.zeros(n)
    known = np.array([np.nan if t is None else t for t in temperature_c], dtype=float)
    if known.shape != (n,):
        raise BadArgument(
            f"{n} tests need {n} temperatures; {known.size} were given. Use None for unknown ones."
        )
    return np.maximum(np.nan_to_num(known - REFERENCE_C, nan=0.0), 0.0)


def series_data(
    first_half_bpm: np.ndarray | Sequence[float],
    drift_pct: np.ndarray | Sequence[float],
    se_pct: np.ndarray | Sequence[float],
    *,
    criterion_pct: float,
    hr_max_bpm: float | None,
    temperature_c: np.ndarray | Sequence[float | None] | None,
    conditions_unsure: np.ndarray | Sequence[bool] | None,
) -> SeriesData:
    """The tests, checked and brought to reference conditions."""
    hr, drift, se = (np.asarray(a, dtype=float) for a in (first_half_bpm, drift_pct, se_pct))
    _check(hr, drift, se, criterion_pct, hr_max_bpm)
    heat = degrees_of_heat(temperature_c, hr.size)
    unsure = np.zeros(hr.size) if conditions_unsure is None else np.asarray(conditions_unsure, dtype=float)
    corrected_hr, corrected_drift = in_reference_conditions(hr, drift, temperature_c)
    return SeriesData(
        hr_bpm=corrected_hr,
        drift_pct=corrected_drift,
        sd_pct=np.sqrt(
            np.maximum(se, LEAST_SE_PCT) ** 2 + (HEAT_PCT_PER_C_SD * heat) ** 2 + (UNSURE_PCT * unsure) ** 2
        ),
        hr_sd_bpm=np.sqrt(
            drift_curve.DAY_SD_BPM**2 + (HEAT_BPM_PER_C_SD * heat) ** 2 + (UNSURE_BPM * unsure) ** 2
        ),
    )


def _check(
    hr: np.ndarray, drift: np.ndarray, se: np.ndarray, criterion_pct: float, hr_max_bpm: float | None
) -> None:
    """Refuse what no series can be."""
    if not hr.size:
        raise TooLittleData("a threshold from a series needs at least 1 drift test; 0 were given. Do one.")
    if not hr.shape == drift.shape == se.shape or hr.ndim != 1:
        raise BadArgument(
            f"each test needs a heart rate, a drift and a standard error; {hr.size}, {drift.size} and "
            f"{se.size} "
            "were given. Give one of each a test."
        )
    low, high = CRITERION_RANGE_PCT
    if not low <= criterion_pct <= high:
        raise BadArgument(
            f"the drift criterion must lie between {low:g} and {high:g} %; {criterion_pct:g} % was given. "
            "Common practice is 5 %."
        )
    for i, (h, d, s) in enumerate(zip(hr, drift, se, strict=True), start=1):
        if not (30.0 <= h <= 250.0 and np.isfinite(d) and np.isfinite(s) and s >= 0):
            raise BadArgument(
                f"test {i} has heart rate {h:g} bpm, drift {d:g} %, standard error {s:g} %; a heart rate "
                "between "
                "30 and 250 bpm and finite numbers are needed. Leave the test out or correct it."
            )
    if hr_max_bpm is not None and not 100.0 <= hr_max_bpm <= 240.0:
        raise BadArgument(
            f"the maximal heart rate must lie between 100 and 240 bpm; {hr_max_bpm:g} was given. "
            "Correct it, or leave it out."
        )


def _bounded(data: SeriesData, criterion_pct: float) -> str:
    """Which ends of the interval the tests hold, beyond their standard errors."""
    lowest_likely = data.drift_pct - data.sd_pct
    if (lowest_likely > criterion_pct).all():
        return "above"
    return "both" if (lowest_likely >= REACHED_FRAC * criterion_pct).any() else "below"


def _result(
    posterior: Posterior,
    probability: np.ndarray,
    data: SeriesData,
    criterion_pct: float,
    bounded: str,
    caveats: tuple[str, ...],
) -> FirstThreshold:
    """Quantiles of the posterior as a result."""
    low, q25, median, q75, high = drift_curve.quantiles(
        posterior.threshold_bpm, probability, (0.05, 0.25, 0.5, 0.75, 0.95)
    )
    return FirstThreshold(
        hr_bpm=float(median), hr_low_bpm=float(low), hr_high_bpm=float(high),
        hr_q25_bpm=float(q25), hr_q75_bpm=float(q75), bounded=bounded, criterion_pct=criterion_pct,
        n_tests=int(data.hr_bpm.size), method=METHOD, caveats=caveats,
    )  # fmt: skip


def _caveats(
    data: SeriesData,
    drift_pct: np.ndarray,
    criterion_pct: float,
    bounded: str,
    hr_max_bpm: float | None,
    temperature_c: np.ndarray | Sequence[float | None] | None,
) -> tuple[str, ...]:
    """What to be careful about, in sentences."""
    said = []
    if bounded == "below":
        said.append(
            f"no test has clearly reached {REACHED_FRAC * criterion_pct:.2g} % drift: only the lower "
            "bound comes "
            "from the tests, best guess and upper end come from what is usual"
        )
    if bounded == "above":
        said.append(
            f"every test lies above {criterion_pct:g} % drift: only the upper bound comes from the tests, "
            "best guess and lower end come from what is usual"
        )
    if data.hr_bpm.size == 1:
        said.append("one test can rarely tell: repeat it, or test at another setting")
    if hr_max_bpm is None:
        said.append("maximal heart rate unknown: the estimate starts from a wider guess")
    elif data.hr_bpm.max() > hr_max_bpm:
        said.append(
            f"a test at {data.hr_bpm.max():.0f} bpm lies above the maximal heart rate of {hr_max_bpm:.0f}: "
            "one of the two is wrong"
        )
    heat = degrees_of_heat(temperature_c, data.hr_bpm.size)
    if heat.any():
        said.append(
            f"{int((heat > 0).sum())} of {heat.size} tests were brought back to {REFERENCE_C:g} degC, the "
            "hottest by "
            f"{HEAT_BPM_PER_C * heat.max():.1f} bpm and {HEAT_PCT_PER_C * heat.max():.1f} % drift"
        )
    if (heat > HOT_C - REFERENCE_C).any():
        said.append(
            f"a test above {HOT_C:g} degC: the correction is stretched further than the studies behind it"
        )
    for value in drift_pct[(drift_pct < ODD_LOW_PCT) | (drift_pct > ODD_HIGH_PCT)]:
        said.append(
            f"a drift of {value:.1f} % is unusual: look for a change of settings, a missing warm-up or "
            "artefacts"
        )
    if _contradict(data):
        said.append(
            "tests contradict each other: one at a lower heart rate drifted clearly more than a higher one"
        )
    return tuple(said)


def _contradict(data: SeriesData) -> bool:
    """Whether a test at least 2 bpm lower drifted more, beyond ordinary day-to-day scatter (SD 1 %)."""
    rise = data.hr_bpm[None, :] - data.hr_bpm[:, None]
    excess = data.drift_pct[:, None] - data.drift_pct[None, :]
    scatter = np.sqrt(data.sd_pct[:, None] ** 2 + data.sd_pct[None, :] ** 2 + 2.0)
    return bool(((rise >= 2.0) & (excess > 1.645 * scatter)).any())
