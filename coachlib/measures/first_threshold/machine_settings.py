"""Settings on the grid of a machine: those that should give a heart rate, or that match an effort."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from coachlib.errors import BadArgument
from coachlib.measures.common.constants import Z90
from coachlib.measures.first_threshold.heart_rate_line import (
    RUNNING_FROM_MPS,
    HeartRateLine,
    demand_on_treadmill,
)

#: How many bpm of aim a change of settings must gain: tests with few changes compare better.
#: [1/min per km/h], [1/min per unit of grade]  Own choice.
SPEED_PENALTY, GRADE_PENALTY = 0.4, 15.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Settings:
    """Settings to put on the machine; what the machine does not have is None."""

    speed_mps: float | None = None
    grade: float | None = None
    power_w: float | None = None
    predicted_bpm: float | None = None
    predicted_low_bpm: float | None = None
    predicted_high_bpm: float | None = None


def settings_on_treadmill(
    line: HeartRateLine,
    *,
    target_bpm: float,
    speeds_mps: np.ndarray | Sequence[float],
    grades: np.ndarray | Sequence[float],
    last_speed_mps: float,
    last_grade: float,
) -> Settings:
    """The belt speed and grade whose predicted heart rate meets the target with few changes.

    Parameters
    ----------
    line : HeartRateLine
        On oxygen demand. [ml/kg/min]
    target_bpm : float
        Wanted mean heart rate of the first half. [1/min]
    speeds_mps, grades : array of float
        What the machine can be set to. [m/s], [rise over run]
    last_speed_mps, last_grade : float
        Settings of the last test, on this machine's grid or not. [m/s], [rise over run]

    Raises
    ------
    BadArgument
        Where the machine has no setting at all.

    Source
    ------
    This project's own choice: distance from the target plus ``SPEED_PENALTY`` and ``GRADE_PENALTY`` for
    changes.  Oxygen demand by the ACSM running equation, see ``measures.output.energy``.

    Examples
    --------
    >>> from coachlib.measures.first_threshold.heart_rate_line import heart_rate_line
    >>> line = heart_rate_line([42.8], [150.0], prior_slope=2.2, prior_slope_sd=0.45)
    >>> found = settings_on_treadmill(line, target_bpm=155.0, speeds_mps=np.arange(24, 34) / 10,
    ...     grades=np.arange(0, 0.08, 0.01), last_speed_mps=2.8, last_grade=0.04)
    >>> bool(abs(found.predicted_bpm - 155.0) < 1.0)
    True
    """
    speed, grade = _choices(speeds_mps, grades, last_speed_mps)
    demand = demand_on_treadmill(speed, grade)
    missed = np.abs(line.at(demand) - target_bpm)
    best = int(np.argmin(missed + _changes(speed, grade, last_speed_mps, last_grade)))
    return _settings(line, float(demand[best]), speed_mps=float(speed[best]), grade=float(grade[best]))


def settings_by_power(
    line: HeartRateLine, *, target_bpm: float, powers_w: np.ndarray | Sequence[float]
) -> Settings:
    """The power whose predicted heart rate lies nearest the target.

    Raises
    ------
    BadArgument
        Where the machine has no setting at all.

    Examples
    --------
    >>> from coachlib.measures.first_threshold.heart_rate_line import heart_rate_line
    >>> line = heart_rate_line([200.0], [140.0], prior_slope=0.34, prior_slope_sd=0.1)
    >>> settings_by_power(line, target_bpm=145.0, powers_w=[200, 205, 210, 215, 220]).power_w
    215.0
    """
    powers = np.asarray(powers_w, dtype=float)
    if not powers.size:
        raise BadArgument("settings need at least one power to choose from; none were given.")
    best = float(powers[np.argmin(np.abs(line.at(powers) - target_bpm))])
    return _settings(line, best, power_w=best)


def same_effort_on_treadmill(
    *,
    speed_mps: float,
    grade: float,
    speeds_mps: np.ndarray | Sequence[float],
    grades: np.ndarray | Sequence[float],
) -> Settings:
    """The nearest grade of the belt, and the speed that on it costs as much as a speed at a grade.

    Parameters
    ----------
    speed_mps, grade : float
        What is to be matched. [m/s], [rise over run]
    speeds_mps, grades : array of float
        What the machine can be set to. [m/s], [rise over run]

    Raises
    ------
    BadArgument
        Where the machine has no setting at all.

    Source
    ------
    This project's own choice: a test that is done again keeps its grade where the belt has it.

    Examples
    --------
    >>> found = same_effort_on_treadmill(speed_mps=10.4 / 3.6, grade=0.04, speeds_mps=np.arange(6, 31) / 7.2,
    ...     grades=np.arange(0, 0.1, 0.005))
    >>> 3.6 * found.speed_mps, found.grade
    (10.5, 0.04)
    """
    slopes = np.asarray(grades, dtype=float)
    nearest = slopes[[np.argmin(np.abs(slopes - grade))]] if slopes.size else slopes
    speeds, slopes = _choices(speeds_mps, nearest, speed_mps)
    wanted = demand_on_treadmill([speed_mps], [grade])[0]
    best = int(np.argmin(np.abs(demand_on_treadmill(speeds, slopes) - wanted)))
    return Settings(speed_mps=float(speeds[best]), grade=float(slopes[best]))


def _choices(
    speeds_mps: np.ndarray | Sequence[float], grades: np.ndarray | Sequence[float], last_speed_mps: float
) -> tuple[np.ndarray, np.ndarray]:
    """Every pair of speed and grade in the gait of the last test; every pair where the belt has no such speed."""
    speeds, slopes = (np.unique(np.asarray(each, dtype=float)) for each in (speeds_mps, grades))
    if not speeds.size or not slopes.size:
        raise BadArgument(
            "settings need at least one belt speed and one grade to choose from; none were given."
        )
    same_gait = (speeds < RUNNING_FROM_MPS) == (last_speed_mps < RUNNING_FROM_MPS)
    speed, grade = np.meshgrid(speeds[same_gait] if same_gait.any() else speeds, slopes, indexing="ij")
    return speed.ravel(), grade.ravel()


def _changes(speed: np.ndarray, grade: np.ndarray, last_speed_mps: float, last_grade: float) -> np.ndarray:
    """What changing the settings costs, as if it were beats missed [1/min]."""
    return SPEED_PENALTY * 3.6 * np.abs(speed - last_speed_mps) + GRADE_PENALTY * np.abs(grade - last_grade)


def _settings(line: HeartRateLine, demand: float, **machine: float) -> Settings:
    """Settings with the heart rate they should give, 90 %."""
    expected, sd = float(line.at(demand)), float(line.sd_at(demand))
    return Settings(
        predicted_bpm=expected, predicted_low_bpm=expected - Z90 * sd,
        predicted_high_bpm=expected + Z90 * sd,
        **machine,
    )  # fmt: skip
