"""Heart-rate drift of a steady window, with an honest interval.

Source
------
Drift as the difference of half means is common practice among coaches and has no published standard; the
phenomenon is cardiovascular drift, Coyle EF, González-Alonso J (2001), Exerc Sport Sci Rev 29(2):88-92.
The interval (first-order autoregression on one-minute means, inflated) is this project's own choice: of the
methods tried on simulated runs it alone kept its promise, 80 to 95 % coverage for a nominal 90 %.
"""

from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.common.codes import Code, code
from coachlib.measures.common.constants import DAY_DRIFT_SD_PCT, Z90
from coachlib.measures.common.sampling import is_beating, time_weights, weighted_mean

METHOD = "half means 1"
#: The window to which a criterion in per cent belongs. [s]  Common practice, no source.
REFERENCE_WINDOW_S = 3600.0
#: A shorter window carries no verdict of its own. [s]  Own choice: its share of the criterion is as small as
#: day-to-day scatter.
VERDICT_WINDOW_S = 2700.0
#: Least usable heart rate for a drift. [s]  Own choice: ten one-minute means carry an interval, barely.
MIN_USED_S = 600.0
#: Least window and least used share of a cell of the map.  Own choice.
MIN_MAP_WINDOW_S, MIN_MAP_USED_FRAC = 1200.0, 0.6
#: Widening of the autoregressive standard error that gave nominal coverage in simulation.  Own choice.
INFLATION = 1.36
#: No run says its drift better than this. [percentage points]  Own choice.
SE_FLOOR_PCT = 0.15
#: A difference between the two ways to read drift that asks for a second look. [percentage points]  Own choice.
CROSS_CHECK_PCT = 1.0
BIN_S = 60.0
MIN_BIN_S = 30.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HeartRateDrift:
    """Heart-rate drift of one window.

    ``drift_low_pct`` and ``drift_high_pct`` bound what this run says (90 %); ``day_low_pct`` and
    ``day_high_pct`` add the scatter from one day to the next.  ``slope_drift_pct`` is the same quantity
    read from a straight line, as a cross-check.
    """

    first_half_bpm: float
    second_half_bpm: float
    drift_pct: float
    drift_low_pct: float
    drift_high_pct: float
    day_low_pct: float
    day_high_pct: float
    se_pct: float
    slope_drift_pct: float
    start_s: float
    stop_s: float
    used_s: float
    used_pct: float
    method: str
    caveats: tuple[Code, ...]


def heart_rate_drift(
    time_s: np.ndarray, hr_bpm: np.ndarray, used: np.ndarray, *, start_s: float, stop_s: float
) -> HeartRateDrift:
    """Compare mean heart rate in the second half of a window with the first.

    Parameters
    ----------
    time_s : ndarray, shape (n,)
        Elapsed time, increasing. [s]
    hr_bpm : ndarray, shape (n,)
        Heart rate; NaN where the sensor gave nothing. [1/min]
    used : ndarray of bool, shape (n,)
        True for samples that count; the window need not be cut out of it.
    start_s, stop_s : float
        The half-open window; it is split at its mid time, whatever is left out. [s]

    Returns
    -------
    HeartRateDrift
        Time-weighted, in per cent of the first half's mean.

    Raises
    ------
    TooLittleData
        When either half has less than half of ``MIN_USED_S`` of usable heart rate.
    BadArgument
        When the window is empty.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> hr_bpm = np.where(t < 1800, 140.0, 147.0)
    >>> heart_rate_drift(t, hr_bpm, t >= 0, start_s=0, stop_s=3600).drift_pct
    5.00
    """
    if not stop_s > start_s:
        raise BadArgument(
            f"a window needs a stop after its start; found start {start_s:g} s and stop {stop_s:g} s. "
            "Drag or type its ends again."
        )
    inside = (time_s >= start_s) & (time_s < stop_s) & used & is_beating(hr_bpm)
    middle = (start_s + stop_s) / 2
    weights = time_weights(time_s, inside)
    first, second = weights * (time_s < middle), weights * (time_s >= middle)
    n1, n2 = float(first.sum()), float(second.sum())
    if min(n1, n2) < MIN_USED_S / 2:
        raise TooLittleData(
            f"heart-rate drift needs {MIN_USED_S / 2:.0f} s of usable heart rate in each half; this window of "
            f"{stop_s - start_s:.0f} s has {n1:.0f} s and {n2:.0f} s. Lengthen the window or take back an exclusion."
        )
    mean1, mean2 = weighted_mean(hr_bpm, first), weighted_mean(hr_bpm, second)
    drift_pct = 100 * (mean2 - mean1) / mean1
    noise = _long_run_noise(time_s, hr_bpm, weights, start_s, stop_s)
    se_pct = max(SE_FLOOR_PCT, float(INFLATION * 100 * np.sqrt(noise.variance * (1 / n1 + 1 / n2)) / mean1))
    reach = noise.quantile * se_pct
    day_sd = DAY_DRIFT_SD_PCT * (stop_s - start_s) / REFERENCE_WINDOW_S
    day_reach = Z90 * float(np.hypot(se_pct, day_sd))
    slope_pct = _slope_drift_pct(time_s, hr_bpm, weights, start_s, stop_s)
    return HeartRateDrift(
        first_half_bpm=mean1,
        second_half_bpm=mean2,
        drift_pct=drift_pct,
        drift_low_pct=drift_pct - reach,
        drift_high_pct=drift_pct + reach,
        day_low_pct=drift_pct - day_reach,
        day_high_pct=drift_pct + day_reach,
        se_pct=se_pct,
        slope_drift_pct=slope_pct,
        start_s=start_s,
        stop_s=stop_s,
        used_s=n1 + n2,
        used_pct=100 * (n1 + n2) / (stop_s - start_s),
        method=METHOD,
        caveats=_caveats(drift_pct, slope_pct),
    )


def _caveats(drift_pct: float, slope_pct: float) -> tuple[Code, ...]:
    if abs(drift_pct - slope_pct) <= CROSS_CHECK_PCT:
        return ()
    values = {"halves_pct": drift_pct, "line_pct": slope_pct, "within_pct": CROSS_CHECK_PCT}
    return (code("halves and line differ", **values),)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Noise:
    variance: float
    quantile: float


def _long_run_noise(
    time_s: np.ndarray, hr_bpm: np.ndarray, weights_s: np.ndarray, start_s: float, stop_s: float
) -> _Noise:
    """Long-run variance of heart rate about its line [bpm² s] and the quantile that goes with it."""
    n_bins = int(np.ceil((stop_s - start_s) / BIN_S))
    bins = np.clip(((time_s - start_s) // BIN_S).astype(int), 0, n_bins - 1)
    counts = weights_s > 0
    seconds = np.bincount(bins[counts], weights=weights_s[counts], minlength=n_bins)
    sums = np.bincount(bins[counts], weights=(weights_s[counts] * hr_bpm[counts]), minlength=n_bins)
    valid = np.flatnonzero(seconds >= MIN_BIN_S)
    means = sums[valid] / seconds[valid]
    if valid.size < 6:
        raise TooLittleData(
            f"the uncertainty of heart-rate drift needs 6 minutes with usable heart rate; this window has "
            f"{valid.size}. Lengthen the window or take back an exclusion."
        )
    rest = means - np.polyval(np.polyfit(valid, means, 1), valid)
    adjacent = np.flatnonzero(np.diff(valid) == 1)
    before, after = rest[adjacent], rest[adjacent + 1]
    pairs = adjacent.size
    power = float((rest**2).mean())
    if power < 1e-12 or pairs < 4:
        return _Noise(variance=60 * power, quantile=float(scipy.special.stdtrit(max(pairs - 2, 2), 0.95)))
    phi = float((before * after).mean()) / power
    phi = float(np.clip(phi + (1 + 4 * phi) / valid.size, -0.2, 0.9))
    innovation = float(((after - phi * before) ** 2).sum()) / (pairs - 2)
    return _Noise(
        variance=BIN_S * innovation / (1 - phi) ** 2, quantile=float(scipy.special.stdtrit(pairs - 2, 0.95))
    )


def _slope_drift_pct(
    time_s: np.ndarray, hr_bpm: np.ndarray, weights_s: np.ndarray, start_s: float, stop_s: float
) -> float:
    """Drift as a fitted straight line has it, in per cent of the fitted first half."""
    counts = weights_s > 0
    x, y, w = time_s[counts] - start_s, hr_bpm[counts], weights_s[counts]
    centre = (w * x).sum() / w.sum()
    slope = (w * (x - centre) * y).sum() / (w * (x - centre) ** 2).sum()
    half = (stop_s - start_s) / 2
    first = (w * y).sum() / w.sum() + slope * (half / 2 - centre)
    return float(100 * slope * half / first)


def scaled_criterion_pct(criterion_pct: float, window_s: float) -> float:
    """The share of a 60-minute criterion that belongs to a window of another length.

    Parameters
    ----------
    criterion_pct : float
        What counts as the sign of the threshold over 60 minutes. [%]
    window_s : float
        Length of the window. [s]

    Source
    ------
    This project's own choice: the same slope gives half the drift in half the time.

    Examples
    --------
    >>> scaled_criterion_pct(5.0, 1800)
    2.5
    """
    return criterion_pct * window_s / REFERENCE_WINDOW_S


def drift_map(
    time_s: np.ndarray, hr_bpm: np.ndarray, used: np.ndarray, *, starts_s: np.ndarray, stops_s: np.ndarray
) -> np.ndarray:
    """Drift for every pair of window start and stop.

    Parameters
    ----------
    time_s, hr_bpm, used : ndarray, shape (n,)
        As for ``heart_rate_drift``.
    starts_s, stops_s : ndarray, shape (k,) and (m,)
        Window ends. [s]

    Returns
    -------
    ndarray, shape (k, m)
        Drift [%]; NaN where the window is shorter than ``MIN_MAP_WINDOW_S`` or less than
        ``MIN_MAP_USED_FRAC`` of it is usable.

    Source
    ------
    This project's own choice: prefix sums, so that each cell equals the direct calculation.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> drift_map(t, 140 + t / 600, t >= 0, starts_s=np.array([0.0, 600.0]), stops_s=np.array([3600.0]))
    array([[2.12], [1.76]])
    """
    starts, stops = np.asarray(starts_s, dtype=float)[:, None], np.asarray(stops_s, dtype=float)[None, :]
    weights = time_weights(time_s, used & is_beating(hr_bpm))
    seconds = np.concatenate(([0.0], np.cumsum(weights)))
    beats = np.concatenate(([0.0], np.cumsum(weights * np.where(weights > 0, hr_bpm, 0.0))))
    a, m, b = (np.searchsorted(time_s, edge) for edge in (starts, (starts + stops) / 2, stops))
    n1, n2 = seconds[m] - seconds[a], seconds[b] - seconds[m]
    length = stops - starts
    shown = (length >= MIN_MAP_WINDOW_S) & (n1 + n2 >= MIN_MAP_USED_FRAC * length) & (n1 > 0) & (n2 > 0)
    with np.errstate(divide="ignore", invalid="ignore"):
        mean1, mean2 = (beats[m] - beats[a]) / n1, (beats[b] - beats[m]) / n2
        return np.where(shown, 100 * (mean2 - mean1) / mean1, np.nan)
