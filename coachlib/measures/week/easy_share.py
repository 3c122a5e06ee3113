"""Was easy easy?  The share of time at or below the first threshold, with the threshold's own doubt.

Source
------
This project's own choice.  A session shares one day's offset of heart rate (SD 1.8 bpm, Lamberts et al.
(2004), J Strength Cond Res 18:641-645); the threshold's error is shared by all sessions of a week.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.errors import BadArgument, TooLittleData
from coachlib.measures.common.constants import DAY_EFFORT_SD_BPM, Z90

METHOD = "easy share 2"
#: In a week, days count a little less than independent.  Own choice: offsets last longer than a day.
WEEK_FACTOR = 1.5
#: Wanted share at or below the first threshold.  Own choice, near the published 75 to 80 % of
#: Seiler & Kjerland (2006), Scand J Med Sci Sports 16:49-56.
WANTED_FRAC = 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class EasyShare:
    """Share of time at or below the first threshold as accepted, how far it may be out, and whether that was easy.

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


def easy_share_of_week(
    hr_bpm: Sequence[np.ndarray],
    weights_s: Sequence[np.ndarray],
    *,
    threshold_bpm: float | Sequence[float],
    threshold_sd_bpm: float | Sequence[float],
    wanted_frac: float = WANTED_FRAC,
    day_sd_bpm: float = DAY_EFFORT_SD_BPM,
) -> EasyShare:
    """Judge several sessions together: a week, or four.

    Parameters
    ----------
    hr_bpm : sequence of ndarray
        Heart rate of each session, or the centres of its histogram. [1/min]
    weights_s : sequence of ndarray
        Seconds each stands for; 0 where it does not count. [s]
    threshold_bpm, threshold_sd_bpm : float, or one a session
        The first threshold by which the session is judged, and its spread. [1/min]
    wanted_frac : float
        Share that makes sessions easy.
    day_sd_bpm : float
        Offset of a day's heart rate. [1/min]

    Raises
    ------
    TooLittleData
        Without any session, or any time.

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
    n = len(hr_bpm)
    if not n:
        raise TooLittleData("the share of easy time needs at least 1 session; 0 were given.")
    sizes = [len(part) for part in hr_bpm]
    threshold, sd = (np.broadcast_to(x, n).astype(float) for x in (threshold_bpm, threshold_sd_bpm))
    if (sd < 0).any() or not 0 < wanted_frac <= 1:
        raise BadArgument(
            f"the share of easy time needs a spread of at least 0 bpm and a wanted share up to 1; "
            f"{sd.min():g} bpm and {wanted_frac:g} were given."
        )
    hr, weights = np.concatenate(hr_bpm).astype(float), np.concatenate(weights_s).astype(float)
    reach = np.sqrt(sd**2 + WEEK_FACTOR * day_sd_bpm**2 / n)
    limits = [
        np.repeat(threshold + z * by, sizes) for z, by in ((0, sd), (-Z90, reach), (Z90, reach), (-Z90, sd))
    ]
    counts = np.isfinite(hr) & (weights > 0)
    hr, weights = hr[counts], weights[counts]
    total = float(weights.sum())
    if not total:
        raise TooLittleData(
            "the share of easy time needs heart rate; 0 s of it are usable. Check strap and exclusions."
        )
    at, low_at, high_at, certain_at = (limit[counts] for limit in limits)
    share = float(weights[hr <= at].sum() / total)
    low = min(_share_below(hr, weights, low_at), share)
    high = max(_share_below(hr, weights, high_at), share)
    return EasyShare(
        share_frac=share, share_low_frac=low, share_high_frac=high,
        certain_frac=min(_share_below(hr, weights, certain_at), share), wanted_frac=wanted_frac,
        verdict="easy" if low >= wanted_frac else "not easy" if high < wanted_frac else "open",
        used_s=total, n_sessions=n, method=METHOD,
    )  # fmt: skip


def _share_below(hr: np.ndarray, weights: np.ndarray, limit_bpm: np.ndarray) -> float:
    """Share of time at or below a limit, each whole beat spread over the beat that ends with it."""
    return float((weights * np.clip(limit_bpm - hr + 1.0, 0.0, 1.0)).sum() / weights.sum())
