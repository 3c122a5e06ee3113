"""Highest heart rate from age, and shares of the heart-rate reserve.

A predicted maximum is off by more than 10 bpm for about every third person; a measured one is better.
"""

import numpy as np

from coachlib.errors import BadArgument

#: Standard error of estimate for one person. [1/min]  Nes et al. 2013; no formula does better by much.
PREDICTION_SE_BPM = 10.8


def hr_max_nes(age_y: float) -> float:
    """Maximum heart rate as 211 - 0.64 age. [1/min]

    Source
    ------
    Nes BM et al. (2013), Scand J Med Sci Sports 23:697-704, doi 10.1111/j.1600-0838.2012.01445.x; n = 3320,
    standard error of estimate 10.8.  On 510 people of the open graded tests (Donne et al. 2024, doi
    10.5281/zenodo.10841412) it had the smallest error of four formulas.

    Examples
    --------
    >>> hr_max_nes(40)
    185.4
    """
    return 211 - 0.64 * age_y


def at_reserve(reserve_frac: float, *, hr_rest_bpm: float, hr_max_bpm: float) -> float:
    """Heart rate at a share of the reserve. [1/min]

    Source
    ------
    Karvonen MJ, Kentala E, Mustala O (1957), Ann Med Exp Biol Fenn 35:307-315 (cited from memory).

    Examples
    --------
    >>> at_reserve(0.7, hr_rest_bpm=60, hr_max_bpm=190)
    151.0
    """
    return hr_rest_bpm + reserve_frac * (hr_max_bpm - hr_rest_bpm)


def reserve_share(hr_bpm: np.ndarray | float, *, hr_rest_bpm: float, hr_max_bpm: float) -> np.ndarray | float:
    """Share of the heart-rate reserve, 0 to 1.

    Source
    ------
    As ``at_reserve``.

    Examples
    --------
    >>> reserve_share(151.0, hr_rest_bpm=60, hr_max_bpm=190)
    0.7
    """
    if not hr_max_bpm > hr_rest_bpm:
        raise BadArgument(
            f"a share of the reserve needs a maximum above rest; found {hr_max_bpm:g} and {hr_rest_bpm:g} bpm."
        )
    return (hr_bpm - hr_rest_bpm) / (hr_max_bpm - hr_rest_bpm)
