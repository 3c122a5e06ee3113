"""Heart rate and drift as they would have been in reference conditions: 21 degC, moving air."""

from collections.abc import Sequence

import numpy as np

from coachlib.errors import BadArgument

#: Above this air temperature heart rate and drift are brought back to it. [degC]
REFERENCE_C = 21.0
#: Rise of first-half heart rate and of drift for each degree above, and how unsure these are.
#: Own choice, on the careful side of Lafrenz et al. (2008), Med Sci Sports Exerc 40:1065-1071: heart rate
#: +11 % at 35 degC against +2 % at 22 degC from minute 15 to 45, about 0.7 % per degree.
HEAT_BPM_PER_C, HEAT_BPM_PER_C_SD = 0.8, 0.3
HEAT_PCT_PER_C, HEAT_PCT_PER_C_SD = 0.4, 0.15


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
