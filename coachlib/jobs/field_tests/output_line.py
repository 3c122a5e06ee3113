"""Heart rate on output, from everything an athlete was tested at."""

from dataclasses import dataclass

import numpy as np

from coachlib.analysis.first_threshold.comparability import SeriesTest
from coachlib.errors import CoachError
from coachlib.files.roster.athlete_folder import AthleteFolder
from coachlib.files.roster.folder import RosterFolder
from coachlib.jobs.field_tests.decided import decided_as, settled_heart_rate
from coachlib.measures.first_threshold.heart_rate_line import RUNNING_FROM_MPS, demand_on_treadmill
from coachlib.measures.output.calibration import CalibrationLine, calibration_line

#: Oxygen demand at rest [ml/kg/min] and of running on the level for each m/s; ACSM running equation.
REST_VO2, LEVEL_VO2_PER_MPS = 3.5, 12.0


@dataclass(frozen=True, kw_only=True)
class OutputLine:
    """Heart rate on power (``unit`` "W") or on running speed brought to the level ("m/s")."""

    line: CalibrationLine
    unit: str
    made_from: str


def read_output_line(
    folder: RosterFolder, own: AthleteFolder, tests: tuple[SeriesTest, ...]
) -> OutputLine | None:
    """The athlete's line of heart rate on output, where three different settings are known.

    Drift tests count with their first half, stages of ramps and step tests with their last minute.  Power
    goes before speed; running speeds on a gradient are brought to the level by oxygen demand.
    """
    powers = [(t.power_w, t.first_half_bpm) for t in tests if t.power_w is not None]
    speeds = [
        (_level_speed(t.speed_mps, t.grade), t.first_half_bpm)
        for t in tests
        if t.speed_mps is not None and t.speed_mps >= RUNNING_FROM_MPS
    ]
    n_tests = len(powers), len(speeds)
    for kind in ("ramp", "step test"):
        for decided in decided_as(folder, own, kind, []):
            for stage in decided.decisions.stages:
                hr = settled_heart_rate(decided, stage)
                if np.isfinite(hr) and stage.power_w is not None:
                    powers.append((stage.power_w, hr))
                elif np.isfinite(hr) and (stage.speed_mps or 0.0) >= RUNNING_FROM_MPS:
                    speeds.append((_level_speed(stage.speed_mps or 0.0, stage.grade), hr))
    for pairs, n, unit in ((powers, n_tests[0], "W"), (speeds, n_tests[1], "m/s")):
        if len({round(x, 3) for x, _ in pairs}) < 3:
            continue
        try:
            line = calibration_line(np.array([x for x, _ in pairs]), np.array([y for _, y in pairs]))
        except CoachError:
            continue
        stages = len(pairs) - n
        made = [f"{n} drift test{'s' * (n != 1)}"] * (n > 0) + [f"{stages} stages"] * (stages > 0)
        return OutputLine(line=line, unit=unit, made_from=" and ".join(made))
    return None


def _level_speed(speed_mps: float, grade: float | None) -> float:
    """Speed on the level with the oxygen demand of a speed on a gradient [m/s]."""
    return (float(demand_on_treadmill([speed_mps], [grade or 0.0])[0]) - REST_VO2) / LEVEL_VO2_PER_MPS
