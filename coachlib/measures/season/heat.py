"""What heat adds to the heart rate of minutes 10 to 25, known or to be expected where nobody wrote it down.

Source
------
This project's own choice; where the climate is known a cosine runs through the usual midday temperatures of the
coldest and the warmest month, and days scatter about it.
"""

from dataclasses import dataclass
from datetime import date
from math import cos, exp, pi, sqrt

import scipy

from coachlib.measures.drift_test.reference_conditions import REFERENCE_C

#: Heart rate each degree above the reference adds in these minutes, and its spread. [1/min per degC]  Own choice:
#: the direct part (0.8) and what heat adds by drift up to minute 17.
HEAT_BPM_PER_C, HEAT_SD = 1.1, 0.5
#: How far a day lies from the usual temperature. [degC]  Own choice.
DAY_SD_C = 4.0
#: On days usually colder than this there is no heat. [degC]  Own choice.
COLD_C = 15.0
#: How much of an unknown temperature is left where the climate is known.  Own choice, from simulation.
LEFT_UNKNOWN = 1.0 / 3.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Heat:
    """Degrees above 21 of a session, and how much of them is unknown: 0 known, 1 not at all. [degC]"""

    above_c: float = 0.0
    unknown: float = 0.0

    @property
    def added_bpm(self) -> float:
        """What it adds to heart rate. [1/min]"""
        return HEAT_BPM_PER_C * self.above_c


def heat_of_session(temperature_c: float | None, *, is_indoor: bool, usual_c: float | None = None) -> Heat:
    """Heat of one session.

    Parameters
    ----------
    temperature_c : float or None
        Air temperature. [degC]
    is_indoor : bool
        Under a roof an unknown temperature is taken as cool.
    usual_c : float, optional
        Usual midday temperature of that day, see ``usual_temperature_c``. [degC]

    Source
    ------
    Mean of a normal variable cut off at 0: any textbook.

    Examples
    --------
    >>> heat_of_session(26.0, is_indoor=False)
    Heat(above_c=5.0, unknown=0.0)
    >>> heat_of_session(None, is_indoor=False), heat_of_session(None, is_indoor=False, usual_c=8.0).unknown
    (Heat(above_c=0.0, unknown=1.0), 0.0)
    """
    if temperature_c is not None:
        return Heat(above_c=max(0.0, temperature_c - REFERENCE_C))
    if is_indoor:
        return Heat()
    if usual_c is None:
        return Heat(unknown=1.0)
    over = usual_c - REFERENCE_C
    density = exp(-0.5 * (over / DAY_SD_C) ** 2) / sqrt(2 * pi)
    expected = float(over * scipy.special.ndtr(over / DAY_SD_C) + DAY_SD_C * density)
    return Heat(above_c=expected, unknown=0.0 if usual_c < COLD_C else LEFT_UNKNOWN)


def usual_temperature_c(on: date, *, coldest_c: float, warmest_c: float, warmest_month: int) -> float:
    """Usual midday temperature of a day [degC].

    Parameters
    ----------
    on : date
        The day.
    coldest_c, warmest_c : float
        Usual midday temperature of the coldest and the warmest month, half a year apart. [degC]
    warmest_month : int
        1 to 12.

    Source
    ------
    See the module's docstring.

    Examples
    --------
    >>> place = {"coldest_c": 2.0, "warmest_c": 26.0, "warmest_month": 7}
    >>> [round(usual_temperature_c(date(2026, m, 15), **place)) for m in (1, 4, 7, 10)]
    [2, 14, 26, 14]
    """
    since = (on.month + (on.day - 15.5) / 30.5 - warmest_month) / 12
    return (coldest_c + warmest_c) / 2 + (warmest_c - coldest_c) / 2 * cos(2 * pi * since)
