"""Geometry of a treadmill: the belt's way lies along the slope."""

import math

#: Standard acceleration of free fall. [m/s2]  CGPM (1901).
GRAVITY = 9.80665


def climb(belt_m: float, grade: float) -> float:
    """Metres gained on a belt, exactly.

    Parameters
    ----------
    belt_m : float
        Length of belt run. [m]
    grade : float
        Rise over run, the tangent of the belt's angle.

    Source
    ------
    Geometry: length times the sine of the angle.

    Examples
    --------
    >>> climb(5000, 0.05)
    249.688
    """
    return belt_m * math.sin(math.atan(grade))


def climb_handbook(belt_m: float, grade: float) -> float:
    """Metres gained by the handbook's rule, length times grade; 0.1 % high at 5 %, 7 % high at 40 %.

    Source
    ------
    Convention of ACSM's Guidelines for Exercise Testing and Prescription, 10th ed. (2018), Table 6.3.

    Examples
    --------
    >>> climb_handbook(5000, 0.05)
    250.0
    """
    return belt_m * grade


def climbing_power(speed_mps: float, grade: float) -> float:
    """Power against gravity for each kilogram of body. [W/kg]

    Source
    ------
    Mechanics: weight times vertical speed.

    Examples
    --------
    >>> climbing_power(6 / 3.6, 0.15)
    2.42454
    """
    return GRAVITY * climb(speed_mps, grade)
