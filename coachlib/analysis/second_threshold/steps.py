"""A step test with lactate by every method, from a recording or typed in."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np

from coachlib.analysis.second_threshold.efforts import StepTest
from coachlib.errors import CoachError
from coachlib.measures.common.codes import Code, code
from coachlib.measures.second_threshold.lactate import LactateThresholds, all_methods

LoadUnit = Literal["km/h", "W"]


@dataclass(frozen=True, kw_only=True)
class Steps:
    """A step test by every method; typed in where it has no day, and ``note`` then keeps its stages."""

    lactate: LactateThresholds
    unit: LoadUnit
    on: date | None = None
    sport: str | None = None
    tests: tuple[str, ...] = ()
    note: str = ""


def typed_steps(stages: np.ndarray, *, unit: LoadUnit, sport: str | None, note: str) -> Steps:
    """The step test of typed-in stages: rows of load, lactate [mmol/l], heart rate [1/min].

    Raises
    ------
    BadArgument, TooLittleData, UnfitTest
        As ``measures.second_threshold.lactate.all_methods``.
    """
    load, lactate, hr = stages.T
    return Steps(lactate=all_methods(load, lactate, hr), unit=unit, sport=sport, note=note)


def newest_steps(tests: Sequence[StepTest]) -> tuple[Steps | None, tuple[Code, ...]]:
    """The newest step test that the methods can use, and why newer ones cannot be."""
    left_out: list[Code] = []
    for test in sorted(tests, key=lambda t: t.on, reverse=True):
        load, unit = (test.load, "W") if test.unit == "W" else (3.6 * test.load, "km/h")
        try:
            found = all_methods(load, test.lactate_mmol_l, test.hr_bpm)
        except CoachError as problem:
            left_out.append(code("step test left out", on=test.on, why=str(problem)))
            continue
        steps = Steps(
            lactate=found,
            unit="W" if unit == "W" else "km/h",
            on=test.on,
            sport=test.sport,
            tests=(test.sha256,),
        )
        return steps, tuple(left_out)
    return None, tuple(left_out)
