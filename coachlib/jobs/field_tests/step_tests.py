"""Lactate step tests: the stages the coach typed in, with the heart rate of the recording."""

from dataclasses import dataclass
from datetime import date

import numpy as np

from coachlib.errors import CoachError, UnfitTest
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.decided import Decided, decided_as, settled_heart_rate


@dataclass(frozen=True, kw_only=True, eq=False)
class StepTest:
    """The stages with lactate: load [W or m/s, as ``unit`` says], lactate [mmol/l] and settled heart rate [1/min]."""

    on: date
    sha256: str
    unit: str
    load: np.ndarray
    lactate_mmol_l: np.ndarray
    hr_bpm: np.ndarray


def read_step_tests(folder: RosterFolder, own: AthleteFolder) -> tuple[tuple[StepTest, ...], tuple[str, ...]]:
    """Every step test with lactate, the newest first, and in sentences what could not be read."""
    problems: list[str] = []
    found = []
    for decided in decided_as(folder, own, "step test", problems):
        try:
            test = step_test_of(decided)
        except CoachError as problem:
            problems.append(f"{decided.path.stem} is left out: {problem}")
            continue
        if test is not None:
            found.append(test)
    return tuple(sorted(found, key=lambda t: t.on, reverse=True)), tuple(problems)


def step_test_of(decided: Decided) -> StepTest | None:
    """The step test of a recording, load being power, else speed; None where no stage has lactate.

    Raises
    ------
    UnfitTest
        When a stage with lactate has no load.
    """
    stages = [s for s in decided.decisions.stages if s.lactate_mmol_l is not None]
    if not stages:
        return None
    by_power = all(s.power_w is not None for s in stages)
    load = [s.power_w if by_power else s.speed_mps for s in stages]
    if None in load:
        raise UnfitTest("a stage with lactate has neither power nor speed. Fill in one of them.")
    return StepTest(
        on=decided.on,
        sha256=decided.activity.sha256,
        unit="W" if by_power else "m/s",
        load=np.array(load, dtype=float),
        lactate_mmol_l=np.array([s.lactate_mmol_l for s in stages], dtype=float),
        hr_bpm=np.array([settled_heart_rate(decided, s) for s in stages]),
    )
