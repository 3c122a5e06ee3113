"""What a machine can be set to, in words."""

from coachlib.records.machine import Ergometer, Machine
from coachlib.report.words import wording
from coachlib.report.words.wording import plain


def kind_of(machine: Machine) -> str:
    """What it is called."""
    return "ergometer" if isinstance(machine, Ergometer) else "treadmill"


def grid_of(machine: Machine) -> str:
    """Its settings, from the lowest to the highest.

    Examples
    --------
    >>> from coachlib.records.machine import Treadmill
    >>> grid_of(Treadmill(speed_low_mps=0.8 / 3.6, speed_high_mps=5, grade_high=0.15, grade_step=0.005))
    '0.8 to 18 km/h in steps of 0.1, 0 to 15 % in steps of 0.5'
    >>> grid_of(Treadmill(speed_step_mps=0.5 / 3.6, grade_high=0)), grid_of(Ergometer(power_step_w=10))
    ('3 to 20 km/h in steps of 0.5, no incline', '30 to 500 W in steps of 10')
    """
    if isinstance(machine, Ergometer):
        return _steps(machine.power_low_w, machine.power_high_w, machine.power_step_w, 1, "W")
    speeds = _steps(
        machine.speed_low_mps,
        machine.speed_high_mps,
        machine.speed_step_mps,
        wording.in_speed_unit(1.0),
        wording.speed_unit(),
    )
    if machine.grade_low < machine.grade_high:
        return f"{speeds}, {_steps(machine.grade_low, machine.grade_high, machine.grade_step, 100, '%')}"
    return f"{speeds}, " + (
        f"always at {plain(100 * machine.grade_low)} %" if machine.grade_low else "no incline"
    )


def _steps(low: float, high: float, step: float, typed_per_unit: float, unit: str) -> str:
    low, high, step = (typed_per_unit * each for each in (low, high, step))
    return f"{plain(low)} to {plain(high)} {unit} in steps of {plain(step)}"
