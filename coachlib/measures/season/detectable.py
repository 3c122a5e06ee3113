"""How large a change between two dates must be before it is news.

The words *cannot tell*, *possible*, *likely*, *clear* mean the same wherever this package uses them.

Source
------
Minimum detectable change, or reference change value: z sqrt(2) SEM for two single measurements (for
instance Weir (2005), J Strength Cond Res 19:231-240; from memory).  Typical errors of heart rate at one
setting: Lamberts et al. (2004), J Strength Cond Res 18:641-645, SEM 1.1 to 1.4 % under controlled conditions;
the wider figures for ordinary and uncontrolled conditions are this project's own choice.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import scipy

from coachlib.errors import BadArgument, TooLittleData

METHOD = "detectable change 1"
WORDS = ("cannot tell", "possible", "likely", "clear")
#: A change is possible, likely, clear beyond these two-sided levels.
LEVELS = (0.80, 0.90, 0.95)
#: Typical error of one test's heart rate at the same settings. [1/min]
SEM_CONTROLLED_BPM, SEM_USUAL_BPM, SEM_UNCONTROLLED_BPM = 1.8, 2.6, 3.9
#: Typical error of one test's drift, below and at the threshold, usual conditions. [%]  Own choice.
SEM_DRIFT_BELOW_PCT, SEM_DRIFT_AT_PCT = 1.1, 1.4
#: An athlete's own repeats weigh as if this many more had shown the usual error.  Own choice.
PRIOR_REPEATS = 4.0
#: Own repeats count from this many on.  Own choice.
LEAST_REPEATS = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """A change between two occasions, what chance alone could do, and the word for it.

    ``detectable`` is the smallest change that would be called likely (90 %), in the unit of the change.
    """

    change: float
    detectable: float
    word: str
    method: str = METHOD


def minimum_detectable_change(
    sem: float, *, level: float = 0.90, n_before: int = 1, n_after: int = 1
) -> float:
    """Smallest difference between two means that chance alone rarely makes.

    Parameters
    ----------
    sem : float
        Typical error of one measurement, in any unit.
    level : float
        Two-sided confidence, between 0 and 1.
    n_before, n_after : int
        Measurements behind each mean.

    Raises
    ------
    BadArgument
        Where a number is impossible.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> minimum_detectable_change(2.0, level=0.95)
    5.54
    >>> minimum_detectable_change(2.6)
    6.05
    """
    if not (sem >= 0 and 0 < level < 1 and n_before >= 1 and n_after >= 1):
        raise BadArgument(
            "a detectable change needs a typical error of at least 0, a level between 0 and 1 and 1 "
            "measurement on "
            f"each side; {sem:g}, {level:g}, {n_before} and {n_after} were given."
        )
    return float(scipy.special.ndtri(0.5 + level / 2)) * sem * float(np.sqrt(1.0 / n_before + 1.0 / n_after))


def change_between(before: float, after: float, *, sem: float, n_before: int = 1, n_after: int = 1) -> Change:
    """Say how sure a change is.

    Parameters
    ----------
    before, after : float
        Means of the two occasions, one unit.
    sem : float
        Typical error of one measurement, in the same unit.
    n_before, n_after : int
        Measurements behind each mean.

    Source
    ------
    Levels 80, 90 and 95 %: this project's own choice.

    Examples
    --------
    >>> change_between(152.0, 146.5, sem=2.6).word
    'possible'
    """
    limits = [minimum_detectable_change(sem, level=p, n_before=n_before, n_after=n_after) for p in LEVELS]
    size = abs(after - before)
    word = WORDS[sum(size > limit for limit in limits)]
    return Change(change=after - before, detectable=limits[1], word=word)


def own_typical_error(repeats: np.ndarray | Sequence[float], *, usual_sem: float = SEM_USUAL_BPM) -> float:
    """Typical error from an athlete's repeats at one setting, drawn towards the usual one.

    Parameters
    ----------
    repeats : array of float, shape (n,)
        Results at one setting while nothing changed.
    usual_sem : float
        What is usual, in the same unit.

    Raises
    ------
    TooLittleData
        With fewer than four repeats.

    Source
    ------
    This project's own choice: the usual error counts for ``PRIOR_REPEATS`` degrees of freedom.

    Examples
    --------
    >>> own_typical_error([150.0, 150.0, 150.0, 150.0])
    1.97
    """
    values = np.asarray(repeats, dtype=float)
    if values.size < LEAST_REPEATS:
        raise TooLittleData(
            f"an own typical error needs {LEAST_REPEATS} repeats at one setting; {values.size} were given. "
            "Use the usual one until there are more."
        )
    scatter = float(((values - values.mean()) ** 2).sum())
    return float(np.sqrt((PRIOR_REPEATS * usual_sem**2 + scatter) / (PRIOR_REPEATS + values.size - 1)))
