"""Which records' times can be believed.

Times here are seconds on the file's clock: since the end of 1989, or, below ``CLOCK_SET_S``, since the
device was switched on.
"""

from collections.abc import Sequence

import numpy as np
import scipy

#: Below this the file counts seconds since the device was switched on (open FIT protocol, type date_time).
CLOCK_SET_S = float(0x10000000)

#: A record farther than this from the middle one has a damaged time.  This project's own choice: longer
#: than any single effort, shorter than what a flipped high bit does.  [s]
LONGEST_RECORDING_S = 7 * 86400.0

#: A record that stands alone by more than this among its neighbours in the file has a damaged time.  [s]
STRAY_S = 3600.0

#: Of records on several clocks those that the rest of the file speaks of count, from this share of all on.
#: This project's own choice: two halves are told apart by it, and a few damaged times never win.
LARGE_SHARE_FRAC = 1 / 3

#: The rest of the file may speak of moments a little before and after the records.  [s]
_AROUND_S = 86400.0


def trusted(time: np.ndarray, *, stated: Sequence[float] = ()) -> np.ndarray:
    """Records whose time can be trusted, True counts.

    Those without a time, on another clock than the chosen one, far from the middle, or alone among their
    neighbours cannot.

    Parameters
    ----------
    time : ndarray, shape (n,)
        Times of the records; NaN where there is none. [s]
    stated : sequence of float
        Moments that the rest of the file speaks of: its making, its sessions, laps and pauses. [s]

    Examples
    --------
    >>> two_clocks = np.array([10.0, 11.0, 9e8, 9e8 + 1])
    >>> trusted(two_clocks, stated=[9e8]).tolist(), trusted(two_clocks, stated=[12.0]).tolist()
    ([False, False, True, True], [True, True, False, False])
    """
    ok = np.isfinite(time)
    if not ok.any():
        return ok
    low, high = _clock(time[ok], np.array(stated, dtype=float))
    ok &= (time >= low) & (time <= high)
    ok &= np.abs(time - np.median(time[ok])) <= LONGEST_RECORDING_S
    kept = np.flatnonzero(ok)
    if kept.size >= 5:
        among = scipy.ndimage.median_filter(time[kept], size=5, mode="reflect")
        ok[kept[np.abs(time[kept] - among) > STRAY_S]] = False
    return ok


def _clock(time: np.ndarray, stated: np.ndarray) -> tuple[float, float]:
    """First and last time of the records that share the clock which fits the file best."""
    ordered = np.sort(time)
    stops = np.append(np.flatnonzero(np.diff(ordered) > LONGEST_RECORDING_S), ordered.size - 1)
    starts = np.append(0, stops[:-1] + 1)
    if stops.size == 1:
        return float(ordered[0]), float(ordered[-1])
    n_records = stops - starts + 1
    stated = np.sort(stated[np.isfinite(stated)])
    n_stated = np.searchsorted(stated, ordered[stops] + _AROUND_S, "right") - np.searchsorted(
        stated, ordered[starts] - _AROUND_S, "left"
    )
    n_stated[n_records < LARGE_SHARE_FRAC * time.size] = 0
    best = np.lexsort((-starts, n_records, n_stated))[-1]
    return float(ordered[starts[best]]), float(ordered[stops[best]])
