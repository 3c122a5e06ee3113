"""What looks like a slip of the pen in a typed-in step test or profile."""

from itertools import pairwise

import numpy as np

from coachlib.measures.common.codes import Code, code
from coachlib.measures.output.heart_rate import hr_max_nes

#: Limits beyond which a typed-in number is asked about.  This project's own choice, wide enough that one of
#: several hundred sound laboratory tests is hit rarely, and narrow enough for slips of the pen.
HIGHEST_HR_BPM, HIGHEST_REST_BPM, FURTHEST_FROM_AGE_BPM, HR_FALL_BPM = 230.0, 110.0, 50.0, 3.0
#: The same for oxygen uptake [ml/kg/min] and lactate [mmol/l].  Own choice.
HIGHEST_VO2, HIGHEST_REST_VO2, VO2_FALL, LACTATE_FALL = 100.0, 15.0, 4.0, 2.0


def plausibility(
    load: np.ndarray | None = None,
    hr_bpm: np.ndarray | None = None,
    *,
    vo2: np.ndarray | None = None,
    lactate: np.ndarray | None = None,
    hr_rest_bpm: float | None = None,
    hr_max_bpm: float | None = None,
    age_y: float | None = None,
    vo2_rest: float | None = None,
    vo2_max: float | None = None,
) -> tuple[Code, ...]:
    """What looks like a slip in a typed-in step test; everything is optional.

    Parameters
    ----------
    load : ndarray, shape (n,), optional
        One value a stage: speed, power or belt grade. [any]
    hr_bpm : ndarray, shape (n,), optional
        Heart rate at the end of each stage; NaN where not taken. [1/min]
    vo2, lactate : ndarray, shape (n,), optional
        Oxygen uptake and blood lactate of each stage; NaN where not taken. [ml/kg/min], [mmol/l]
    hr_rest_bpm, hr_max_bpm : float, optional
        Rest and maximum. [1/min]
    age_y : float, optional
        With it the maximum is held against ``hr_max_nes``.
    vo2_rest, vo2_max : float, optional
        Oxygen uptake at rest and its maximum. [ml/kg/min]

    Returns
    -------
    tuple of Code
        One for each thing to look at; empty where all looks sound.

    Source
    ------
    This project's own choice of limits; the faults are those found in open laboratory data.

    Examples
    --------
    >>> plausibility(np.array([8.0, 9.0, 9.0]), np.array([120.0, 135.0, 148.0]), hr_rest_bpm=50)
    (Code(name='stage not above the one before', values=(('what', 'load'), ('stage', 2), ('before', 9.0), ('after', 9.0))),)
    >>> plausibility(hr_max_bpm=383, age_y=21)[0].name
    'number too high'
    """
    return (
        *_implausible_people(hr_rest_bpm, hr_max_bpm, age_y, vo2_rest),
        *_above("heart rate", hr_bpm, HIGHEST_HR_BPM),
        *_too_high("maximum oxygen uptake", vo2_max, HIGHEST_VO2),
        *_above("oxygen uptake", vo2, HIGHEST_VO2),
        *_falls("load", load, 0.0),
        *_falls("heart rate", hr_bpm, HR_FALL_BPM),
        *_falls("oxygen uptake", vo2, VO2_FALL),
        *_falls("lactate", lactate, LACTATE_FALL),
    )


def _implausible_people(
    hr_rest_bpm: float | None, hr_max_bpm: float | None, age_y: float | None, vo2_rest: float | None
) -> list[Code]:
    """Rest and maximum."""
    found = _too_high("maximum heart rate", hr_max_bpm, HIGHEST_HR_BPM)
    if hr_max_bpm is not None and age_y is not None:
        predicted = hr_max_nes(age_y)
        if abs(hr_max_bpm - predicted) > FURTHEST_FROM_AGE_BPM:
            found.append(
                code("maximum far from age", hr_max_bpm=hr_max_bpm, usual_bpm=predicted, age_y=age_y)
            )
    found += _too_high("resting heart rate", hr_rest_bpm, HIGHEST_REST_BPM)
    return found + _too_high("resting oxygen uptake", vo2_rest, HIGHEST_REST_VO2)


def _too_high(what: str, value: float | None, limit: float) -> list[Code]:
    """A number beyond any athlete's."""
    if value is None or not value > limit:
        return []
    return [code("number too high", what=what, value=value, limit=limit)]


def _above(what: str, values: np.ndarray | None, limit: float) -> list[Code]:
    """Each stage above a limit."""
    if values is None:
        return []
    return [
        code("stage too high", what=what, stage=i, value=v, limit=limit)
        for i, v in enumerate(np.asarray(values, dtype=float).tolist(), start=1)
        if v > limit
    ]


def _falls(what: str, values: np.ndarray | None, by: float) -> list[Code]:
    """Each stage that lies lower than the one before by more than ``by``; 0: not above it."""
    if values is None:
        return []
    given = np.asarray(values, dtype=float).tolist()
    name = "stage below the one before" if by > 0 else "stage not above the one before"
    return [
        code(name, what=what, stage=i, before=a, after=b)
        for i, (a, b) in enumerate(pairwise(given), start=1)
        if (b < a - by if by > 0 else b <= a)
    ]
