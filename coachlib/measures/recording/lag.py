"""Output as heart rate sees it: late."""

import numpy as np

#: Lag of heart rate behind output. [s]  "Identification of heart rate dynamics during moderate-to-vigorous
#: treadmill exercise" (2015), BioMed Eng OnLine 14, doi 10.1186/s12938-015-0112-7: 57.6 s.
OUTPUT_LAG_S = 58.0


def lagged_output(time_s: np.ndarray, output: np.ndarray, *, lag_s: float = OUTPUT_LAG_S) -> np.ndarray:
    """Output as heart rate sees it: smoothed by a first-order lag; holes keep the last value.

    Source
    ------
    First-order response, see ``OUTPUT_LAG_S``.

    Examples
    --------
    >>> lagged_output(np.array([0.0, 58.0]), np.array([2.0, 3.0]))
    array([2.  , 2.63])
    """
    known = np.isfinite(output)
    if not known.any():
        return np.full(output.shape, np.nan)
    filled = output[np.maximum.accumulate(np.where(known, np.arange(output.size), np.flatnonzero(known)[0]))]
    gains = 1 - np.exp(-np.diff(time_s, prepend=time_s[0]) / lag_s)
    seen = np.empty(output.shape)
    level = float(filled[0])
    for at, (gain, value) in enumerate(zip(gains.tolist(), filled.tolist(), strict=True)):
        level += gain * (value - level)
        seen[at] = level
    return seen
