"""Beat intervals in exercise: artefacts, and the short-term scaling exponent alpha1.

Alpha1 falls from about 1 towards 0.5 as intensity rises.  It needs intervals from beat to beat; heart rate
once a second does not do.

Source
------
Peng CK et al. (1995), Chaos 5:82-87 (from memory): cumulative sum, segments without overlap, a straight line
taken out of each, residuals pooled, scales 4 to 16 beats.  What it says about the first threshold is read in
``measures.first_threshold.alpha1_threshold``.
"""

import math

import numpy as np
import scipy

from coachlib.errors import BadArgument, TooLittleData

METHOD = "alpha1, scales 4 to 16 1"
SHORTEST_SCALE, LONGEST_SCALE = 4, 16
SCALES = np.arange(SHORTEST_SCALE, LONGEST_SCALE + 1)
#: A beat is compared with the median of so many around it.
MEDIAN_BEATS = 11
#: It counts as an artefact beyond this share of that median, or beyond so many robust SDs if that is more.
#: Own choice from simulation: 20 to 25 % leave enough to shift alpha1 by 0.04 to 0.14 at 1 % of beats.
LEAST_TOLERANCE_FRAC, TOLERANCE_SD = 0.05, 4.0
#: A window needs this many beats, two segments of the longest scale.  Own choice.
LEAST_BEATS = 32


def alpha1(rr_s: np.ndarray, *, width_s: float, step_s: float) -> tuple[np.ndarray, np.ndarray]:
    """Scaling exponent over beats 4 to 16 in sliding windows.

    Nothing is corrected here; see ``corrected_beats``.

    Parameters
    ----------
    rr_s : ndarray, shape (n,)
        Intervals between beats, one after the other, without gaps. [s]
    width_s, step_s : float
        Length of a window and the step to the next; 120 and 5 are usual. [s]

    Returns
    -------
    centre_s, alpha1 : ndarray, shape (m,)
        Middle of each window since the first beat [s] and its exponent; NaN where a window holds fewer than 32
        beats or beats without any variation.  Empty where the series is shorter than a window.

    Raises
    ------
    BadArgument
        When an interval is missing or not above 0, or a length is not above 0.

    Notes
    -----
    A segment's residual variance does not depend on the window it lies in, because the line taken out of it
    swallows the window's mean: each is computed once a recording, and windows add them up.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> rng = np.random.default_rng(3)
    >>> centre_s, exponent = alpha1(0.4 + np.cumsum(rng.normal(0, 0.0005, 2000)), width_s=120, step_s=5)
    >>> float(centre_s[0]), bool(exponent.mean() > 1.2)
    (60.0, True)
    """
    rr = np.asarray(rr_s, dtype=float)
    if not (width_s > 0 and step_s > 0):
        raise BadArgument(f"windows need a width and a step above 0 s; found {width_s:g} and {step_s:g} s.")
    if not (np.isfinite(rr).all() and (rr > 0).all()):
        raise BadArgument(
            f"alpha1 needs every beat interval; {int((~(rr > 0)).sum())} of {rr.size} are missing or not above 0. "
            "Correct them first."
        )
    low_s, first, last = _windows(rr, width_s, step_s)
    enough = last - first >= LEAST_BEATS
    exponent = np.full(low_s.shape, np.nan)
    if enough.any():
        pooled = [
            _pooled_variance(residual, n, first[enough], last[enough])
            for n, residual in zip(SCALES.tolist(), _residual_variances(rr), strict=True)
        ]
        logs = np.log(pooled) / 2
        scales = np.log(SCALES) - np.log(SCALES).mean()
        exponent[enough] = np.where(
            np.isfinite(logs).all(axis=0),
            (scales @ np.where(np.isfinite(logs), logs, 0.0)) / (scales @ scales),
            np.nan,
        )
    return low_s + width_s / 2, exponent


def _windows(rr_s: np.ndarray, width_s: float, step_s: float) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Start of every window that lies in the series, and its first and one-past-last beat."""
    ends = np.cumsum(rr_s)
    total = ends[-1] if ends.size else 0.0
    count = math.floor((total - width_s) / step_s + 1e-9) + 1
    low_s = np.arange(max(count, 0)) * step_s
    first = np.searchsorted(ends - rr_s, low_s - 1e-9, side="left")
    return (
        low_s,
        first,
        np.maximum(np.searchsorted(ends, low_s + width_s + 1e-9, side="right"), first),
    )


def _pooled_variance(residual: np.ndarray, n: int, first: np.ndarray, last: np.ndarray) -> np.ndarray:
    """Mean residual variance of a window's segments of ``n`` beats, laid end to end from its first beat."""
    rows = -(-residual.size // n)
    padded = np.zeros(rows * n)
    padded[: residual.size] = residual
    sums = np.vstack((np.zeros(n), np.cumsum(padded.reshape(rows, n), axis=0))).ravel()
    segments = (last - first) // n
    variance = (sums[first + segments * n] - sums[first]) / segments
    # Beats all alike leave only rounding errors; their logarithm would be noise.
    return np.where(variance > 1e-15, variance, np.nan)


def _residual_variances(rr_s: np.ndarray) -> list[np.ndarray]:
    """Variance about its own straight line of every run of 4, 5, ... 16 values of the cumulative sum.

    Sums grow by one value of each run a turn.  Values are taken from the first of their run, so that a heart
    rate that climbs through the recording costs no digits.
    """
    profile = np.cumsum(rr_s - rr_s.mean())
    total, squares, moment = np.zeros((3, profile.size))
    found = []
    for k in range(1, LONGEST_SCALE):
        rise = profile[k:] - profile[:-k]
        total, squares, moment = total[:-1] + rise, squares[:-1] + rise**2, moment[:-1] + k * rise
        n = k + 1
        if n >= SHORTEST_SCALE:
            along = moment - (n - 1) / 2 * total
            found.append(
                np.maximum(squares / n - (total / n) ** 2 - along**2 * 12 / (n * n * (n * n - 1)), 0.0)
            )
    return found


def flagged_beats(rr_s: np.ndarray, *, tolerance_frac: float | None = None) -> np.ndarray:
    """Beats that look like artefacts, or are missing.

    Parameters
    ----------
    rr_s : ndarray, shape (n,)
        Intervals between beats; NaN where missing. [s]
    tolerance_frac : float, optional
        Share of the median of 11 beats by which a beat may differ from it.  Default: 5 %, or four robust
        standard deviations of the recording if that is more.

    Returns
    -------
    ndarray of bool, shape (n,)
        True for flagged beats.

    Source
    ------
    This project's own choice, from simulation.

    Examples
    --------
    >>> rr = np.full(40, 0.5)
    >>> rr[20] = 1.0
    >>> np.flatnonzero(flagged_beats(rr)).tolist()
    [20]
    """
    rr = np.asarray(rr_s, dtype=float)
    there = np.isfinite(rr) & (rr > 0)
    flagged = ~there
    if not there.any():
        return flagged
    off = rr[there] / _running_median(rr[there]) - 1
    if tolerance_frac is None:
        robust_sd = 1.4826 * float(np.median(np.abs(off - np.median(off))))
        tolerance_frac = max(LEAST_TOLERANCE_FRAC, TOLERANCE_SD * robust_sd)
    # Intervals come in steps of a millisecond; one exactly at the limit must not depend on their unit.
    flagged[there] = np.abs(off) > tolerance_frac + 1e-9
    return flagged


def _running_median(rr_s: np.ndarray) -> np.ndarray:
    """Median of the 11 beats around each; of those there are at either end."""
    median = scipy.ndimage.median_filter(rr_s, MEDIAN_BEATS, mode="nearest")
    reach = MEDIAN_BEATS // 2
    for i in {*range(min(reach, rr_s.size)), *range(max(rr_s.size - reach, 0), rr_s.size)}:
        median[i] = np.median(rr_s[max(i - reach, 0) : i + reach + 1])
    return median


def corrected_beats(rr_s: np.ndarray, flagged: np.ndarray) -> np.ndarray:
    """Intervals with the flagged ones replaced on a straight line between their neighbours.

    Parameters
    ----------
    rr_s : ndarray, shape (n,)
        Intervals between beats. [s]
    flagged : ndarray of bool, shape (n,)
        True for beats to replace.

    Returns
    -------
    ndarray, shape (n,)
        As many intervals. [s]

    Raises
    ------
    TooLittleData
        When no beat is left to lean on.

    Source
    ------
    This project's own choice: interpolating keeps alpha1 steadier than leaving beats out.

    Examples
    --------
    >>> corrected_beats(np.array([0.4, 0.9, 0.6]), np.array([False, True, False]))
    array([0.4, 0.5, 0.6])
    """
    rr, good = np.asarray(rr_s, dtype=float), ~np.asarray(flagged, dtype=bool)
    if not good.any():
        raise TooLittleData(
            f"beat intervals cannot be corrected: all {rr.size} are flagged. Leave this recording's beats out."
        )
    beats = np.arange(rr.size)
    return np.where(good, rr, np.interp(beats, beats[good], rr[good]))


def flagged_share(rr_s: np.ndarray, flagged: np.ndarray, *, width_s: float, step_s: float) -> np.ndarray:
    """Share of flagged beats in each of the windows of ``alpha1``.

    Parameters
    ----------
    rr_s : ndarray, shape (n,)
        The intervals that ``alpha1`` is given, so that the windows agree. [s]
    flagged : ndarray of bool, shape (n,)
        True for beats that were corrected.
    width_s, step_s : float
        As ``alpha1``. [s]

    Returns
    -------
    ndarray, shape (m,)
        Fractions.

    Source
    ------
    Counting.

    Examples
    --------
    >>> flagged_share(np.full(400, 0.5), np.arange(400) % 100 == 0, width_s=100, step_s=50)
    array([0.01, 0.01, 0.01])
    """
    _, first, last = _windows(np.asarray(rr_s, dtype=float), width_s, step_s)
    counted = np.concatenate(([0], np.cumsum(flagged)))
    return (counted[last] - counted[first]) / np.maximum(last - first, 1)


def heart_rate_in_windows(rr_s: np.ndarray, *, width_s: float, step_s: float) -> np.ndarray:
    """Mean heart rate in each of the windows of ``alpha1``, from the same beats.

    Parameters
    ----------
    rr_s : ndarray, shape (n,)
        The intervals that ``alpha1`` is given. [s]
    width_s, step_s : float
        As ``alpha1``. [s]

    Returns
    -------
    ndarray, shape (m,)
        Beats over the time they took [1/min]; NaN where a window holds none.

    Source
    ------
    Counting.

    Examples
    --------
    >>> heart_rate_in_windows(np.full(400, 0.5), width_s=100, step_s=50)
    array([120., 120., 120.])
    """
    rr = np.asarray(rr_s, dtype=float)
    _, first, last = _windows(rr, width_s, step_s)
    elapsed = np.concatenate(([0.0], np.cumsum(rr)))
    beats, taken_s = last - first, elapsed[last] - elapsed[first]
    return np.where(beats > 0, 60.0 * beats / np.where(beats > 0, taken_s, 1.0), np.nan)
