"""Energy cost of walking, running and cycling; slopes brought to the flat; climb.

Source
------
Minetti AE, Moia C, Roi GS, Susta D, Ferretti G (2002), Energy cost of walking and running at extreme uphill
and downhill slopes, J Appl Physiol 93(3):1039-1046, doi 10.1152/japplphysiol.01177.2001.  ACSM's Guidelines
for Exercise Testing and Prescription, 10th ed. (2018), Table 6.3, restated by Bushman BA (2020), ACSM's
Health & Fitness J 24(3):6-10 and 24(4):5-8.
"""

import numpy as np

from coachlib.errors import BadArgument

#: Gradients the polynomials were fitted on; outside they turn negative. [rise over run]  Minetti et al. 2002.
STEEPEST_GRADE = 0.45
#: Coefficients, highest power first. [J/kg/m]  Minetti et al. 2002.
RUNNING_COST = (155.4, -30.4, -43.3, 46.3, 19.5, 3.6)
WALKING_COST = (280.5, -58.7, -76.8, 51.9, 19.6, 2.5)
#: Oxygen uptake at rest. [ml/kg/min]  ACSM (2018), Table 6.3.
REST_VO2 = 3.5
#: Oxygen demand of running on the level above rest. [ml/kg/min per m/s]  ACSM (2018): 0.2 for each m/min.
LEVEL_VO2_PER_MPS = 12.0
#: Altitude is smoothed over this length of way before a grade is taken. [m]  Own choice: barometers step by
#: 0.2 to 1 m, so a shorter stretch shows steps for slopes.
GRADE_WAY_M = 60.0
#: A rise counts only once it exceeds this. [m]  Own choice, above the wander of a barometer.
CLIMB_STEP_M = 3.0


def running_cost_minetti(grade: np.ndarray | float) -> np.ndarray | float:
    """Energy cost of running on a slope, along the path.

    Parameters
    ----------
    grade : float or ndarray
        Rise over run, from -0.45 to 0.45.

    Returns
    -------
    float or ndarray
        Net cost. [J/kg/m]

    Raises
    ------
    BadArgument
        Outside the gradients the polynomial was fitted on.

    Source
    ------
    Minetti et al. (2002).  The polynomial gives 3.60 on the level where 3.40 was measured: use it for
    ratios rather than for absolute cost.

    Examples
    --------
    >>> running_cost_minetti(0.1)
    5.9682
    """
    return _cost(RUNNING_COST, grade)


def walking_cost_minetti(grade: np.ndarray | float) -> np.ndarray | float:
    """Energy cost of walking on a slope, along the path; as ``running_cost_minetti``. [J/kg/m]

    Source
    ------
    Minetti et al. (2002).

    Examples
    --------
    >>> walking_cost_minetti(0.1)
    4.8991
    """
    return _cost(WALKING_COST, grade)


def _cost(coefficients: tuple[float, ...], grade: np.ndarray | float) -> np.ndarray | float:
    steepest = np.nanmax(np.abs(np.asarray(grade, dtype=float)), initial=0.0)
    if steepest > STEEPEST_GRADE:
        raise BadArgument(
            f"the energy cost of a slope is known from -{STEEPEST_GRADE:.2f} to {STEEPEST_GRADE:.2f} (rise over "
            f"run); found {steepest:.2f}. Give grades as fractions, 0.05 for 5 %, and clip steeper ones."
        )
    cost = np.polyval(coefficients, grade)
    return cost if isinstance(grade, np.ndarray) else float(cost)


def flat_equivalent_speed(speed_mps: np.ndarray, grade: np.ndarray) -> np.ndarray:
    """The level running speed that costs as much as this speed on this slope.

    Parameters
    ----------
    speed_mps : ndarray, shape (n,)
        Speed along the path. [m/s]
    grade : ndarray, shape (n,)
        Rise over run; steeper than 0.45 is taken as 0.45.

    Returns
    -------
    ndarray, shape (n,)
        Speed times cost on the slope over cost on the level, both from the polynomial. [m/s]

    Source
    ------
    Minetti et al. (2002).  Clipping the grade is this project's own choice.

    Examples
    --------
    >>> 3.6 * flat_equivalent_speed(np.array([10 / 3.6]), np.array([0.05]))
    array([13.0144])
    """
    clipped = np.clip(grade, -STEEPEST_GRADE, STEEPEST_GRADE)
    return speed_mps * running_cost_minetti(clipped) / RUNNING_COST[-1]


def flat_equivalent_walking_speed(speed_mps: np.ndarray, grade: np.ndarray) -> np.ndarray:
    """The level walking speed that costs as much; as ``flat_equivalent_speed``. [m/s]

    Source
    ------
    Minetti et al. (2002).

    Examples
    --------
    >>> flat_equivalent_walking_speed(np.array([1.0]), np.array([0.1]))
    array([1.9596])
    """
    clipped = np.clip(grade, -STEEPEST_GRADE, STEEPEST_GRADE)
    return speed_mps * walking_cost_minetti(clipped) / WALKING_COST[-1]


def vo2_running_acsm(speed_mps: float, grade: float) -> float:
    """Gross oxygen uptake of running on a treadmill, level or uphill. [ml/kg/min]

    Source
    ------
    ACSM (2018), Table 6.3: 3.5 + 0.2 S + 0.9 S G, S in m/min; meant above 134 m/min.

    Examples
    --------
    >>> vo2_running_acsm(10 / 3.6, 0.05)
    44.3333
    """
    metres = speed_mps * 60
    return REST_VO2 + 0.2 * metres + 0.9 * metres * grade


def vo2_walking_acsm(speed_mps: float, grade: float) -> float:
    """Gross oxygen uptake of walking. [ml/kg/min]

    Source
    ------
    ACSM (2018), Table 6.3: 3.5 + 0.1 S + 1.8 S G, S in m/min; meant from 50 to 100 m/min.

    Examples
    --------
    >>> vo2_walking_acsm(5 / 3.6, 0.05)
    19.3333
    """
    metres = speed_mps * 60
    return REST_VO2 + 0.1 * metres + 1.8 * metres * grade


def vo2_cycling_acsm(power_w: float, mass_kg: float) -> float:
    """Gross oxygen uptake of leg cycling. [ml/kg/min]

    Source
    ------
    ACSM (2018), Table 6.3: 7 + 10.8 P / M; meant from 50 to 200 W.

    Examples
    --------
    >>> vo2_cycling_acsm(150, 70)
    30.1429
    """
    return 7 + 10.8 * power_w / mass_kg


def smoothed_grade(time_s: np.ndarray, distance_m: np.ndarray, altitude_m: np.ndarray) -> np.ndarray:
    """Grade along the way from recorded distance and altitude.

    Parameters
    ----------
    time_s, distance_m, altitude_m : ndarray, shape (n,)
        One record a sample; NaN where missing. [s], [m], [m]

    Returns
    -------
    ndarray, shape (n,)
        Rise over run between ``GRADE_WAY_M`` / 2 behind and ahead; NaN where distance or altitude is
        unknown or nobody moved.

    Examples
    --------
    >>> way = np.arange(0.0, 400.0, 3.0)
    >>> float(smoothed_grade(np.arange(way.size) * 1.0, way, 0.1 * way)[60])
    0.1
    """
    known = np.isfinite(distance_m) & np.isfinite(altitude_m)
    grade = np.full(time_s.shape, np.nan)
    way, first = np.unique(np.maximum.accumulate(distance_m[known]), return_index=True)
    if way.size < 2 or way[-1] - way[0] < GRADE_WAY_M:
        return grade
    height = altitude_m[known][first]
    ahead = np.clip(distance_m[known] + GRADE_WAY_M / 2, way[0], way[-1])
    behind = np.clip(distance_m[known] - GRADE_WAY_M / 2, way[0], way[-1])
    grade[known] = (np.interp(ahead, way, height) - np.interp(behind, way, height)) / (ahead - behind)
    return grade


def climb_m(altitude_m: np.ndarray, *, step_m: float = CLIMB_STEP_M) -> float:
    """Metres climbed: rises of more than ``step_m`` from the lowest point since the last one.

    Parameters
    ----------
    altitude_m : ndarray, shape (n,)
        Altitude without gaps. [m]
    step_m : float
        Smaller rises count as wander of the sensor. [m]

    Examples
    --------
    >>> climb_m(np.array([100.0, 101.0, 100.0, 140.0, 139.0, 120.0, 150.0]))
    70.0
    """
    climbed, low, high = 0.0, None, None
    for altitude in altitude_m.tolist():
        if low is None or high is None:
            low = high = altitude
        elif altitude > high:
            high = altitude
        elif altitude < high - step_m:
            climbed += high - low if high - low >= step_m else 0.0
            low = high = altitude
        elif altitude < low:
            low = high = altitude
    if low is not None and high is not None and high - low >= step_m:
        climbed += high - low
    return climbed
