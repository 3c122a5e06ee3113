"""Geometry of a treadmill: the belt's way lies along the slope."""

import math


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
