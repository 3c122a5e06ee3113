"""The athlete's machine, and what on it comes nearest to a threshold."""

from collections.abc import Sequence

import numpy as np

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.measures.first_threshold.machine_settings import Settings, same_effort_on_treadmill
from coachlib.records.athlete import Athlete, Threshold
from coachlib.records.machine import USUAL_MPH, Ergometer, Machine, Treadmill


def treadmill_of(athlete: Athlete) -> Treadmill:
    """The athlete's belt, a usual one where nothing is noted, in the athlete's units.

    Examples
    --------
    >>> treadmill_of(Athlete(slug="mira", name="Mira", units="imperial")).speeds_mps[:2] * 3600 / 1609.344
    array([2. , 2.1])
    """
    usual = Treadmill(**USUAL_MPH) if athlete.units == "imperial" else Treadmill()
    return athlete.treadmill or usual


def ergometer_of(athlete: Athlete) -> Ergometer:
    """The athlete's ergometer, a usual one where nothing is noted."""
    return athlete.ergometer or Ergometer()


def machine_of(athlete: Athlete, tests: Sequence[SeriesTest]) -> Machine | None:
    """The athlete's machine of the kind the last test was done on; before the first test the one noted.

    None outdoors, where only heart rate can be held.

    Examples
    --------
    >>> machine_of(Athlete(slug="mira", name="Mira"), ()) is None
    True
    """
    last = max(tests, key=lambda t: t.on, default=None)
    if last is None:
        return athlete.treadmill or athlete.ergometer
    if last.power_w is not None:
        return ergometer_of(athlete)
    return treadmill_of(athlete) if last.grade is not None else None


def setting_at(threshold: Threshold, athlete: Athlete) -> Settings:
    """The setting of a threshold as the athlete's machine has it; outdoors as it stands.

    Examples
    --------
    >>> from datetime import date
    >>> known = Threshold(which="first", on=date(2026, 10, 5), hr_bpm=144, power_w=178)
    >>> setting_at(known, Athlete(slug="tom", name="Tom", ergometer=Ergometer(power_step_w=10))).power_w
    180.0
    """
    if threshold.power_w is not None:
        powers = ergometer_of(athlete).powers_w
        return Settings(power_w=float(powers[np.argmin(np.abs(powers - threshold.power_w))]))
    if threshold.speed_mps is None or threshold.grade is None:
        return Settings(speed_mps=threshold.speed_mps)
    belt = treadmill_of(athlete)
    return same_effort_on_treadmill(
        speed_mps=threshold.speed_mps,
        grade=threshold.grade,
        speeds_mps=belt.speeds_mps,
        grades=belt.grades,
    )
