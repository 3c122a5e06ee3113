"""Highest heart rate from age, and shares of the heart-rate reserve.

A predicted maximum is off by more than 10 bpm for about every third person; a measured one is better.
"""

from dataclasses import dataclass

import numpy as np

from coachlib.errors import BadArgument


@dataclass(frozen=True, slots=True, kw_only=True)
class PredictedMaximum:
    """A predicted maximum heart rate, the standard error of one person's value, and who published it."""

    hr_max_bpm: float
    se_bpm: float
    method: str


#: Standard error of estimate for one person. [1/min]  Nes et al. 2013 (10.8); no formula does better by much.
PREDICTION_SE_BPM = 10.8


def hr_max_220_minus_age(age_y: float) -> float:
    """Maximum heart rate as 220 less age. [1/min]

    Source
    ------
    A line drawn by eye: Fox SM, Naughton JP, Haskell WL (1971), Ann Clin Res 3:404-432 (cited from memory);
    its history in Robergs RA, Landwehr R (2002), JEPonline 5(2):1-10.

    Examples
    --------
    >>> hr_max_220_minus_age(40)
    180
    """
    return 220 - age_y


def hr_max_tanaka(age_y: float) -> float:
    """Maximum heart rate as 208 - 0.7 age. [1/min]

    Source
    ------
    Tanaka H, Monahan KD, Seals DR (2001), J Am Coll Cardiol 37(1):153-156.

    Examples
    --------
    >>> hr_max_tanaka(30)
    187.0
    """
    return 208 - 0.7 * age_y


def hr_max_gellish(age_y: float) -> float:
    """Maximum heart rate as 207 - 0.7 age. [1/min]

    Source
    ------
    Gellish RL et al. (2007), Med Sci Sports Exerc 39:822-829, doi 10.1097/mss.0b013e31803349c6.

    Examples
    --------
    >>> hr_max_gellish(30)
    186.0
    """
    return 207 - 0.7 * age_y


def hr_max_nes(age_y: float) -> float:
    """Maximum heart rate as 211 - 0.64 age. [1/min]

    Source
    ------
    Nes BM et al. (2013), Scand J Med Sci Sports 23:697-704, doi 10.1111/j.1600-0838.2012.01445.x; n = 3320,
    standard error of estimate 10.8.

    Examples
    --------
    >>> hr_max_nes(40)
    185.4
    """
    return 211 - 0.64 * age_y


def hr_max_inbar(age_y: float) -> float:
    """Maximum heart rate as 205.8 - 0.685 age. [1/min]

    Source
    ------
    Inbar et al., as given by Robergs & Landwehr (2002), JEPonline 5(2):1-10.

    Examples
    --------
    >>> hr_max_inbar(40)
    178.4
    """
    return 205.8 - 0.685 * age_y


def hr_max_zhu(age_y: float) -> float:
    """Maximum heart rate as 179 + 0.29 age - 0.011 age², from 18 to 50 years. [1/min]

    Raises
    ------
    BadArgument
        Outside the ages it was made for.

    Source
    ------
    Zhu N et al. (2010), Med Sci Sports Exerc 42:1519-1527; 9622 tests.

    Examples
    --------
    >>> hr_max_zhu(30)
    177.8
    """
    if not 18 <= age_y <= 50:
        raise BadArgument(f"this formula was made for 18 to 50 years; found {age_y:g}. Take another formula.")
    return 179 + 0.29 * age_y - 0.011 * age_y**2


def hr_max_beta_blocker_brawner(age_y: float) -> float:
    """Maximum heart rate under a beta-blocker as 164 - 0.7 age. [1/min]

    Source
    ------
    Brawner CA et al. (2004), cited from memory.

    Examples
    --------
    >>> hr_max_beta_blocker_brawner(60)
    122.0
    """
    return 164 - 0.7 * age_y


def predicted_maximum(age_y: float) -> PredictedMaximum:
    """The prediction this project uses where nothing was measured.

    Source
    ------
    Nes et al. (2013): the largest sample, without sex, activity or weight effects.  On 510 people of the open
    graded tests (Donne et al. 2024, doi 10.5281/zenodo.10841412) it had the smallest error of four.

    Examples
    --------
    >>> predicted_maximum(40)
    PredictedMaximum(hr_max_bpm=185.4, se_bpm=10.8, method='211 - 0.64 age (Nes et al. 2013)')
    """
    return PredictedMaximum(
        hr_max_bpm=hr_max_nes(age_y), se_bpm=PREDICTION_SE_BPM, method="211 - 0.64 age (Nes et al. 2013)"
    )


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


def maximum_share_swain(vo2max_frac: float) -> float:
    """Share of maximum heart rate at a share of maximal oxygen uptake.

    Source
    ------
    Swain DP et al. (1994), Med Sci Sports Exerc 26:112-116, 162 adults; coefficients from memory, they
    reproduce the abstract's four pairs.

    Examples
    --------
    >>> maximum_share_swain(0.6)
    0.7596
    """
    return 0.6463 * vo2max_frac + 0.37182
