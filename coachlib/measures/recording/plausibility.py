"""What looks like a slip of the pen in a typed-in step test or profile."""

from itertools import pairwise

import numpy as np

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
) -> tuple[str, ...]:
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
    tuple of str
        One sentence for each thing to look at; empty where all looks sound.

    Source
    ------
    This project's own choice of limits; the faults are those found in open laboratory data.

    Examples
    --------
    >>> plausibility(np.array([8.0, 9.0, 9.0]), np.array([120.0, 135.0, 148.0]), hr_rest_bpm=50)
    ('the load does not rise from stage 2 to 3 (9 to 9)',)
    >>> plausibility(hr_max_bpm=383, age_y=21)[0]
    'a maximum heart rate of 383 bpm is above 230'
    """
    return (
        *_implausible_people(hr_rest_bpm, hr_max_bpm, age_y, vo2_rest),
        *_above("a heart rate", hr_bpm, HIGHEST_HR_BPM, "bpm"),
        *_maximum_uptake(vo2_max),
        *_above("an oxygen uptake", vo2, HIGHEST_VO2, "ml/kg/min"),
        *_falls("the load does not rise", load, 0.0, ""),
        *_falls("heart rate falls", hr_bpm, HR_FALL_BPM, " bpm"),
        *_falls("oxygen uptake falls", vo2, VO2_FALL, " ml/kg/min"),
        *_falls("lactate falls", lactate, LACTATE_FALL, " mmol/l"),
    )


def _implausible_people(
    hr_rest_bpm: float | None, hr_max_bpm: float | None, age_y: float | None, vo2_rest: float | None
) -> list[str]:
    """Sentences on rest and maximum."""
    found = []
    if hr_max_bpm is not None and hr_max_bpm > HIGHEST_HR_BPM:
        found.append(f"a maximum heart rate of {hr_max_bpm:g} bpm is above {HIGHEST_HR_BPM:g}")
    if hr_max_bpm is not None and age_y is not None:
        predicted = hr_max_nes(age_y)
        if abs(hr_max_bpm - predicted) > FURTHEST_FROM_AGE_BPM:
            found.append(
                f"a maximum heart rate of {hr_max_bpm:g} bpm lies {abs(hr_max_bpm - predicted):.0f} bpm from the "
                f"{predicted:.0f} bpm usual at {age_y:g} years"
            )
    if hr_rest_bpm is not None and hr_rest_bpm > HIGHEST_REST_BPM:
        found.append(f"a resting heart rate of {hr_rest_bpm:g} bpm is above {HIGHEST_REST_BPM:g}")
    if vo2_rest is not None and vo2_rest > HIGHEST_REST_VO2:
        found.append(f"a resting oxygen uptake of {vo2_rest:g} ml/kg/min is above {HIGHEST_REST_VO2:g}")
    return found


def _maximum_uptake(vo2_max: float | None) -> list[str]:
    """A sentence where the maximum is beyond any athlete's."""
    if vo2_max is None or not vo2_max > HIGHEST_VO2:
        return []
    return [f"a maximum oxygen uptake of {vo2_max:g} ml/kg/min is above {HIGHEST_VO2:g}"]


def _above(name: str, values: np.ndarray | None, limit: float, unit: str) -> list[str]:
    """A sentence for each stage above a limit."""
    if values is None:
        return []
    return [
        f"{name} of {v:g} {unit} in stage {i} is above {limit:g}"
        for i, v in enumerate(np.asarray(values, dtype=float).tolist(), start=1)
        if v > limit
    ]


def _falls(name: str, values: np.ndarray | None, by: float, unit: str) -> list[str]:
    """A sentence for each stage that lies lower than the one before by more than ``by``; 0: not above it."""
    if values is None:
        return []
    given = np.asarray(values, dtype=float).tolist()
    pairs = enumerate(pairwise(given), start=1)
    return [
        f"{name} from stage {i} to {i + 1} ({a:g} to {b:g}{unit})"
        for i, (a, b) in pairs
        if (b < a - by if by > 0 else b <= a)
    ]
