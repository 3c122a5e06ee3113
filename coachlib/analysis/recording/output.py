"""What the athlete put out, second by second, in the most telling quantity the recording has."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from coachlib.measures.common.spans import inside
from coachlib.measures.output import energy
from coachlib.measures.output.slopes import CYCLING_SLOPE, RUNNING_SLOPE, HeartRateSlope
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions, Stage
from coachlib.records.sports import RUNNING_SPORTS, WALKING_SPORTS

#: A quantity counts as recorded when at least this share of the records carries it.  Own choice.
MIN_COVERAGE_FRAC = 0.5


@dataclass(frozen=True, kw_only=True, eq=False)
class OutputSeries:
    """Output aligned with ``activity.samples``.

    ``kind`` is "power", "flat-equivalent speed" or "speed"; ``unit`` "W" or "m/s"; ``values`` has one
    number a record, NaN where unknown; ``is_set`` says that a typed-in setting, not a sensor, tells it.
    """

    kind: str
    unit: str
    values: np.ndarray
    is_set: bool
    caveats: tuple[str, ...] = ()


def grade_of(activity: Activity, decisions: Decisions | None) -> np.ndarray:
    """Grade a record [rise over run]: typed in where there are stages, else from altitude; NaN unknown."""
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    stages = decisions.stages if decisions else ()
    if any(stage.grade is not None for stage in stages):
        return _staged(time_s, stages, "grade")
    if activity.is_indoor or not _covered(samples["altitude_m"]) or not _covered(samples["distance_m"]):
        return np.full(time_s.shape, np.nan)
    return energy.smoothed_grade(time_s, samples["distance_m"].to_numpy(), samples["altitude_m"].to_numpy())


def output_of(activity: Activity, decisions: Decisions | None = None) -> OutputSeries | None:
    """The output of a session: power, else speed brought to the flat where the slope is known, else speed.

    Parameters
    ----------
    activity : Activity
        The recording.
    decisions : Decisions, optional
        Stages typed in by the coach go before what the sensors say: a treadmill's belt is the better
        witness.

    Returns
    -------
    OutputSeries or None
        None where neither power nor speed is known.

    Source
    ------
    Flat-equivalent speed: Minetti et al. (2002), J Appl Physiol 93:1039-1046, see ``measures.output.energy``.
    The order of preference is this project's own choice.
    """
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    stages = decisions.stages if decisions else ()
    if any(stage.power_w is not None for stage in stages):
        return OutputSeries(kind="power", unit="W", values=_staged(time_s, stages, "power_w"), is_set=True)
    staged_speed = any(stage.speed_mps is not None for stage in stages)
    if _covered(samples["power_w"]) and not staged_speed:
        return OutputSeries(kind="power", unit="W", values=samples["power_w"].to_numpy(), is_set=False)
    if staged_speed:
        speed = _staged(time_s, stages, "speed_mps")
    elif _covered(samples["speed_mps"]):
        speed = samples["speed_mps"].to_numpy()
    else:
        return None
    return _on_the_flat(activity, decisions, speed, is_set=staged_speed)


def _on_the_flat(
    activity: Activity, decisions: Decisions | None, speed: np.ndarray, *, is_set: bool
) -> OutputSeries:
    """Speed as it is, or brought to the flat where sport and slope allow."""
    plain = OutputSeries(kind="speed", unit="m/s", values=speed, is_set=is_set)
    grade = grade_of(activity, decisions)
    if np.isfinite(grade).mean() < MIN_COVERAGE_FRAC * np.isfinite(speed).mean():
        return plain
    if activity.sport in RUNNING_SPORTS:
        flat = energy.flat_equivalent_speed(speed, grade)
    elif activity.sport in WALKING_SPORTS:
        flat = energy.flat_equivalent_walking_speed(speed, grade)
    else:
        return plain
    return OutputSeries(kind="flat-equivalent speed", unit="m/s", values=flat, is_set=is_set)


def _covered(column: pd.Series) -> bool:
    """Whether the column says something on enough records (a column of zeros says nothing)."""
    values = column.to_numpy()
    return bool(
        values.size and np.isfinite(values).mean() >= MIN_COVERAGE_FRAC and np.nanmax(np.abs(values)) > 0
    )


def _staged(time_s: np.ndarray, stages: tuple[Stage, ...], name: str) -> np.ndarray:
    """One typed-in setting as a series; NaN outside the stages."""
    values = np.full(time_s.shape, np.nan)
    for stage in stages:
        setting = getattr(stage, name)
        if setting is not None:
            values[inside(time_s, [stage])] = setting
    return values


def usual_heart_rate_slope(sport: str, unit: str) -> HeartRateSlope | None:
    """How heart rate usually follows output in a sport; None where nothing is known of it.

    Source
    ------
    ``measures.output.slopes``.  Walking: this project's own choice, half of running, as in the ACSM equations
    (0.1 against 0.2 ml/kg/min for each m/min).  Power is taken as on a bicycle in every sport, this project's own
    choice.

    Examples
    --------
    >>> usual_heart_rate_slope("cycling", "W").mean, usual_heart_rate_slope("rowing", "m/s") is None
    (0.35, True)
    """
    if unit == "W":
        return CYCLING_SLOPE
    if sport in RUNNING_SPORTS:
        return RUNNING_SLOPE
    if sport in WALKING_SPORTS:
        return HeartRateSlope(RUNNING_SLOPE.mean / 2, RUNNING_SLOPE.sd / 2)
    return None
