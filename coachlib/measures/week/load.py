"""Training load by heart rate and by rating, monotony and strain.

These figures describe training; nothing here foretells an injury.
"""

from collections.abc import Sequence
from typing import Literal

import numpy as np

from coachlib.errors import BadArgument
from coachlib.measures.common.sampling import time_weights

TRIMP_METHOD = "Banister load over every second 1"
RPE_METHOD = "session RPE load 1"
Sex = Literal["female", "male"]
#: Weight k and exponent b of Banister's load by sex.  Banister EW (1991), in MacDougall et al., Physiological
#: Testing of the High-Performance Athlete, 403-424 (cited from memory); coefficients as in Morton RH,
#: Fitz-Clarke JR, Banister EW (1990), J Appl Physiol 69:1171-1177 (cited from memory).
BANISTER: dict[str, tuple[float, float]] = {"male": (0.64, 1.92), "female": (0.86, 1.67)}


def banister_weight(reserve_frac: np.ndarray | float, *, sex: Sex) -> np.ndarray | float:
    """Load of one minute at a share of the heart-rate reserve.

    Parameters
    ----------
    reserve_frac : float or ndarray
        (HR - rest) / (maximum - rest), 0 to 1.
    sex : {"female", "male"}
        Which of the two published curves.

    Source
    ------
    See ``BANISTER``.

    Examples
    --------
    >>> banister_weight(1.0, sex="male"), banister_weight(1.0, sex="female")
    (4.3654, 4.5685)
    """
    k, b = BANISTER[sex]
    weight = reserve_frac * k * np.exp(b * np.asarray(reserve_frac))
    return weight if isinstance(reserve_frac, np.ndarray) else float(weight)


def banister_trimp(
    time_s: np.ndarray,
    hr_bpm: np.ndarray,
    used: np.ndarray,
    *,
    hr_rest_bpm: float,
    hr_max_bpm: float,
    sex: Sex,
) -> float:
    """Banister's load, summed over the seconds each sample stands for.

    Parameters
    ----------
    time_s, hr_bpm : ndarray, shape (n,)
        Elapsed time and heart rate. [s], [1/min]
    used : ndarray of bool, shape (n,)
        True for samples that count.
    hr_rest_bpm, hr_max_bpm : float
        The athlete's own. [1/min]
    sex : {"female", "male"}
        Which of the two published curves.

    Raises
    ------
    BadArgument
        When the maximum is not above rest.

    Source
    ------
    See ``BANISTER``.  Shares are clipped to 0 and 1, this project's own choice.

    Examples
    --------
    >>> t = np.arange(3600.0)
    >>> hr = np.where(t < 1800, 120.0, 180.0)
    >>> banister_trimp(t, hr, t >= 0, hr_rest_bpm=60, hr_max_bpm=190, sex="male")
    125.786
    """
    counts = used & np.isfinite(hr_bpm)
    minutes = time_weights(time_s, counts) / 60
    share = _reserve(np.where(counts, hr_bpm, hr_rest_bpm), hr_rest_bpm, hr_max_bpm)
    return float((minutes * banister_weight(share, sex=sex)).sum())


def _reserve(hr_bpm: np.ndarray, hr_rest_bpm: float, hr_max_bpm: float) -> np.ndarray:
    if not hr_max_bpm > hr_rest_bpm:
        raise BadArgument(
            f"load by heart rate needs a maximum above rest; found {hr_max_bpm:g} and {hr_rest_bpm:g} bpm. "
            "Correct hr_max_bpm or hr_rest_bpm in athlete.toml."
        )
    return np.clip((hr_bpm - hr_rest_bpm) / (hr_max_bpm - hr_rest_bpm), 0.0, 1.0)


def session_rpe_load(rpe: float, minutes: float) -> float:
    """Rating of the whole session (CR-10) times its minutes.

    Source
    ------
    Foster C et al. (2001), J Strength Cond Res 15:109-115.

    Examples
    --------
    >>> session_rpe_load(6, 120)
    720
    """
    return rpe * minutes


def monotony(daily: Sequence[float]) -> float | None:
    """Mean daily load over its population standard deviation; None where every day is the same.

    Parameters
    ----------
    daily : sequence of float
        Seven days, rest days 0.

    Source
    ------
    Foster C (1998), Med Sci Sports Exerc 30:1164-1168 (cited from memory), which leaves open how the standard
    deviation divides.  Dividing by seven is this project's own choice: the seven days are the whole week, not a
    sample of it.

    Examples
    --------
    >>> monotony([400, 0, 600, 300, 500, 0, 700])
    1.39754
    """
    spread = float(np.std(daily))
    return float(np.mean(daily)) / spread if spread > 0 else None


def strain(daily: Sequence[float]) -> float | None:
    """The week's load times its monotony.

    Source
    ------
    As ``monotony``.

    Examples
    --------
    >>> strain([400, 0, 600, 300, 500, 0, 700])
    3493.86
    """
    spread = monotony(daily)
    return None if spread is None else float(np.sum(daily)) * spread
