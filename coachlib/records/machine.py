"""What a machine can be set to: the grid of speeds and grades of a belt, of powers of an ergometer."""

from typing import Annotated, Self

import numpy as np
from pydantic import model_validator

from coachlib.records.base import Record, limits
from coachlib.records.units import MPH_MPS

#: A usual belt and a usual ergometer, taken where nothing is noted about the athlete's own.  Own choice.
USUAL_SPEED_LOW_MPS, USUAL_SPEED_HIGH_MPS, USUAL_SPEED_STEP_MPS = 3 / 3.6, 20 / 3.6, 0.1 / 3.6
#: The same where belts count miles an hour.
USUAL_MPH = {"speed_low_mps": 2 * MPH_MPS, "speed_high_mps": 12 * MPH_MPS, "speed_step_mps": 0.1 * MPH_MPS}
USUAL_GRADE_LOW, USUAL_GRADE_HIGH, USUAL_GRADE_STEP = 0.0, 0.12, 0.01
USUAL_POWER_LOW_W, USUAL_POWER_HIGH_W, USUAL_POWER_STEP_W = 30.0, 500.0, 5.0

BELT_SPEED = limits(0, 60, "km/h", per_typed=1 / 3.6)
SPEED_STEP = limits(0.05, 10, "km/h", per_typed=1 / 3.6)
#: What a belt that is set lower can do is left out: no test is run downhill.
BELT_GRADE = limits(0, 40, "%", per_typed=0.01)
GRADE_STEP = limits(0.1, 10, "%", per_typed=0.01)
HELD_POWER = limits(0, 2500, "W")
POWER_STEP = limits(1, 100, "W")
#: A setting nearer than this share of a step is on the grid: what is left of changing units lies far below.
SAME_SHARE_OF_STEP = 1e-3


class Treadmill(Record):
    """A belt, the table ``[treadmill]``: speeds and grades from the lowest upwards in steps.

    A belt without incline has the same lowest and highest grade.

    Examples
    --------
    >>> Treadmill(speed_step_mps=0.5 / 3.6, grade_high=0.0).grades
    array([0.])
    """

    speed_low_mps: Annotated[float, BELT_SPEED] = USUAL_SPEED_LOW_MPS
    speed_high_mps: Annotated[float, BELT_SPEED] = USUAL_SPEED_HIGH_MPS
    speed_step_mps: Annotated[float, SPEED_STEP] = USUAL_SPEED_STEP_MPS
    grade_low: Annotated[float, BELT_GRADE] = USUAL_GRADE_LOW
    grade_high: Annotated[float, BELT_GRADE] = USUAL_GRADE_HIGH
    grade_step: Annotated[float, GRADE_STEP] = USUAL_GRADE_STEP

    @model_validator(mode="after")
    def _can_be_set(self) -> Self:
        _refuse_range(self, ("speed_low_mps", "speed_high_mps", "speed_step_mps"), 3.6, "_mps", "_kmh")
        if self.grade_low != self.grade_high:
            _refuse_range(self, ("grade_low", "grade_high", "grade_step"), 100.0, "", "_pct")
        return self

    @property
    def speeds_mps(self) -> np.ndarray:
        """All belt speeds [m/s]."""
        return _steps(self.speed_low_mps, self.speed_high_mps, self.speed_step_mps)

    @property
    def grades(self) -> np.ndarray:
        """All grades [rise over run]."""
        return _steps(self.grade_low, self.grade_high, self.grade_step)

    def has(self, speed_mps: float, grade: float) -> bool:
        """Whether the belt can be set to this."""
        return _is_on(self.speeds_mps, speed_mps, self.speed_step_mps) and _is_on(
            self.grades, grade, self.grade_step
        )


class Ergometer(Record):
    """An ergometer, or what a power meter lets one hold, the table ``[ergometer]``.

    Examples
    --------
    >>> Ergometer(power_low_w=50, power_high_w=75, power_step_w=10).powers_w
    array([50., 60., 70.])
    """

    power_low_w: Annotated[float, HELD_POWER] = USUAL_POWER_LOW_W
    power_high_w: Annotated[float, HELD_POWER] = USUAL_POWER_HIGH_W
    power_step_w: Annotated[float, POWER_STEP] = USUAL_POWER_STEP_W

    @model_validator(mode="after")
    def _can_be_set(self) -> Self:
        _refuse_range(self, ("power_low_w", "power_high_w", "power_step_w"), 1.0, "_w", "_w")
        return self

    @property
    def powers_w(self) -> np.ndarray:
        """All powers [W]."""
        return _steps(self.power_low_w, self.power_high_w, self.power_step_w)

    def has(self, power_w: float) -> bool:
        """Whether the ergometer can be set to this."""
        return _is_on(self.powers_w, power_w, self.power_step_w)


Machine = Treadmill | Ergometer


def _steps(low: float, high: float, step: float) -> np.ndarray:
    """Evenly spaced settings from the lowest on; the highest is one where whole steps reach it."""
    return low + step * np.arange(int(np.floor((high - low) / step + SAME_SHARE_OF_STEP)) + 1)


def _is_on(grid: np.ndarray, value: float, step: float) -> bool:
    return bool(np.abs(grid - value).min() <= SAME_SHARE_OF_STEP * step)


def _refuse_range(
    machine: Machine, fields: tuple[str, str, str], typed_per_unit: float, unit: str, typed_unit: str
) -> None:
    """Refuse a lowest setting that is not below the highest, and a step that does not fit between them."""
    low, high, step = (getattr(machine, field) for field in fields)
    typed = [
        f"`{field.removesuffix(unit)}{typed_unit}` is "
        + ("" if field in machine.model_fields_set else "left out and taken as ")
        + f"{getattr(machine, field) * typed_per_unit:.6g}"
        for field in fields
    ]
    if low >= high:
        raise ValueError(f"{typed[0]} and {typed[1]}; the lowest must lie below the highest")
    if step > (high - low) * (1 + SAME_SHARE_OF_STEP):
        raise ValueError(f"{', '.join(typed[:2])} and {typed[2]}; a step must fit between lowest and highest")
