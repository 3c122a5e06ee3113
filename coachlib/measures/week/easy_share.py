"""Was easy easy?  The share of time at or below the first threshold, with the threshold's own doubt.

Source
------
This project's own choice.  A session shares one day's offset of heart rate (SD 1.8 bpm, Lamberts et al.
(2004), J Strength Cond Res 18:641-645); the threshold's error is shared by all sessions of a week.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import BadArgument, TooLittleData

METHOD = "easy share 1"
#: Offset of a day's heart rate that moves the whole session. [1/min]  Lamberts et al. 2004.
DAY_SD_BPM = 1.8
#: In a week, days count a little less than independent.  Own choice: offsets last longer than a day.
WEEK_FACTOR = 1.5
#: Wanted share at or below the first threshold.  Own choice, near the published 75 to 80 % of
#: Seiler & Kjerland (2006), Scand J Med Sci Sports 16:49-56.
WANTED_FRAC = 0.8
Z90 = 1.645


@dataclass(frozen=True, slots=True, kw_only=True)
class EasyShare:
    """Share of time at or below the first threshold and whether that was easy.

    ``verdict`` is "easy", "not easy" or "open"; ``certain_frac`` is the share at or below the lower end
    of the threshold's interval, which is easy whatever the threshold is.
    """

    share_frac: float
    share_low_frac: float
    share_high_frac: float
    certain_frac: float
    wanted_frac: float
    verdict: str
    used_s: float
    n_sessions: int
    method: str


def threshold_sd(hr_low_bpm: float, hr_high_bpm: float) -> float:
    """Standard deviation of a threshold [1/min] from its 90 % interval.

    Examples
    --------
    >>> threshold_sd(153.0, 164.0)
    3.34
    """
    return (hr_high_bpm - hr_low_bpm) / (2 * Z90)


def easy_share(
    hr_bpm: np.ndarray,
    weights_s: np.ndarray,
    *,
    threshold_bpm: float,
    threshold_sd_bpm: float,
    wanted_frac: float = WANTED_FRAC,
    day_sd_bpm: float = DAY_SD_BPM,
) -> EasyShare:
    """Judge one session.

    Parameters
    ----------
    hr_bpm : ndarray, shape (n,)
        Heart rate, or the centres of a histogram. [1/min]
    weights_s : ndarray, shape (n,)
        Seconds each stands for; 0 where it does not count. [s]
    threshold_bpm, threshold_sd_bpm : float
        The first threshold of that day and its spread. [1/min]
    wanted_frac : float
        Share that makes a session easy.
    day_sd_bpm : float
        Offset of a day's heart rate. [1/min]

    Raises
    ------
    TooLittleData
        Without any time.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> found = easy_share(np.array([130.0, 165.0]), np.array([900.0, 100.0]), threshold_bpm=150,
    ...     threshold_sd_bpm=3.0)
    >>> found.share_frac, found.verdict
    (0.90, 'easy')
    """
    spread = float(np.hypot(threshold_sd_bpm, day_sd_bpm))
    return _judge(hr_bpm, weights_s, threshold_bpm, threshold_sd_bpm, spread, spread, wanted_frac, 1)


def easy_share_of_week(
    hr_bpm: Sequence[np.ndarray],
    weights_s: Sequence[np.ndarray],
    *,
    threshold_bpm: float,
    threshold_sd_bpm: float,
    wanted_frac: float = WANTED_FRAC,
    day_sd_bpm: float = DAY_SD_BPM,
) -> EasyShare:
    """Judge several sessions together: a week, or four.

    Parameters
    ----------
    hr_bpm, weights_s : sequence of ndarray
        One of each a session, as in ``easy_share``. [1/min], [s]
    threshold_bpm, threshold_sd_bpm, wanted_frac, day_sd_bpm
        As in ``easy_share``.

    Source
    ------
    See the module's docstring: days differ, the threshold's error does not.

    Examples
    --------
    >>> hr = [np.array([135.0, 160.0])] * 3
    >>> seconds = [np.array([3000.0, 300.0])] * 3
    >>> easy_share_of_week(hr, seconds, threshold_bpm=150, threshold_sd_bpm=2.0).verdict
    'easy'
    """
    if not len(hr_bpm):
        raise TooLittleData("the share of easy time needs at least 1 session; 0 were given.")
    n = len(hr_bpm)
    expected = float(np.hypot(threshold_sd_bpm, day_sd_bpm))
    reach = float(np.sqrt(threshold_sd_bpm**2 + WEEK_FACTOR * day_sd_bpm**2 / n))
    return _judge(
        np.concatenate(hr_bpm), np.concatenate(weights_s), threshold_bpm, threshold_sd_bpm, expected, reach,
        wanted_frac, n,
    )  # fmt: skip


def _judge(
    hr_bpm: np.ndarray,
    weights_s: np.ndarray,
    threshold_bpm: float,
    threshold_sd_bpm: float,
    expected_sd_bpm: float,
    reach_bpm: float,
    wanted_frac: float,
    n_sessions: int,
) -> EasyShare:
    """Expected share, its interval and the verdict."""
    if threshold_sd_bpm < 0 or not 0 < wanted_frac <= 1:
        raise BadArgument(
            f"the share of easy time needs a spread of at least 0 bpm and a wanted share up to 1; "
            f"{threshold_sd_bpm:g} bpm and {wanted_frac:g} were given."
        )
    hr, weights = np.asarray(hr_bpm, dtype=float), np.asarray(weights_s, dtype=float)
    counts = np.isfinite(hr) & (weights > 0)
    hr, weights = hr[counts], weights[counts]
    total = float(weights.sum())
    if not total:
        raise TooLittleData(
            "the share of easy time needs heart rate; 0 s of it are usable. Check strap and exclusions."
        )
    if expected_sd_bpm > 0:
        share = float((weights * scipy.special.ndtr((threshold_bpm - hr) / expected_sd_bpm)).sum() / total)
        low, high = (_share_below(hr, weights, threshold_bpm + s * Z90 * reach_bpm) for s in (-1, 1))
    else:
        share = low = high = float(weights[hr <= threshold_bpm].sum() / total)
    verdict = "easy" if low >= wanted_frac else "not easy" if high < wanted_frac else "open"
    return EasyShare(
        share_frac=share, share_low_frac=low, share_high_frac=high,
        certain_frac=_share_below(hr, weights, threshold_bpm - Z90 * threshold_sd_bpm),
        wanted_frac=wanted_frac, verdict=verdict, used_s=total, n_sessions=n_sessions, method=METHOD,
    )  # fmt: skip


def _share_below(hr: np.ndarray, weights: np.ndarray, limit_bpm: float) -> float:
    """Share of time below a limit, each whole beat spread over half a beat to either side."""
    return float((weights * np.clip(limit_bpm - hr + 0.5, 0.0, 1.0)).sum() / weights.sum())
