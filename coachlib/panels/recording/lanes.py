"""What the trace editor draws: lanes of one recording on an even one-second grid."""

from dataclasses import dataclass

import numpy as np

from coachlib.analysis.recording.output import grade_of, output_of
from coachlib.measures.common.sampling import LONGEST_STEP_S
from coachlib.measures.common.spans import inside
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions
from coachlib.report.words import wording


@dataclass(frozen=True, kw_only=True, eq=False)
class Lane:
    """One quantity as it is drawn: label, unit, decimals, height, and values a second (NaN: nothing there).

    ``least_span`` is the smallest range of the axis in the lane's unit, so that noise is not drawn large;
    ``is_setting`` says that the values are typed-in settings, drawn as steps.
    """

    label: str
    unit: str
    digits: int
    height_px: int
    least_span: float
    values: np.ndarray
    is_setting: bool = False


def lanes_of(activity: Activity, decisions: Decisions) -> tuple[Lane, ...]:
    """Heart rate, then output, grade and cadence where they are known.

    Parameters
    ----------
    activity : Activity
        The recording.
    decisions : Decisions
        Typed-in stages go before what the sensors say, as in every calculation.

    Returns
    -------
    tuple of Lane
        Heart rate always comes first.

    Notes
    -----
    Values are held over steps of up to ``LONGEST_STEP_S``, never averaged: a
    coach who looks for artefacts must see each.

    Examples
    --------
    The editor's tests draw a recording; see ``tests/panels``.
    """
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()

    def even(values: np.ndarray, factor: float = 1.0) -> np.ndarray:
        return on_seconds(time_s, values) * factor

    found = [
        Lane(
            label="Heart rate, bpm",
            unit="bpm",
            digits=0,
            height_px=236,
            least_span=30.0,
            values=even(samples["hr_bpm"].to_numpy()),
        )
    ]
    output = output_of(activity, decisions)
    if output is not None and output.unit == "W":
        found.append(
            Lane(
                label="Power, W",
                unit="W",
                digits=0,
                height_px=62,
                least_span=60.0,
                values=even(output.values),
                is_setting=output.is_set,
            )
        )
    elif output is not None:
        found.append(
            Lane(
                label=f"Speed, {wording.speed_unit()}",
                unit=wording.speed_unit(),
                digits=1,
                height_px=62,
                least_span=3.0,
                values=even(_plain_speed(activity, decisions), wording.in_speed_unit(1.0)),
                is_setting=output.is_set,
            )
        )
    found.append(
        Lane(
            label="Grade, %",
            unit="%",
            digits=1,
            height_px=38,
            least_span=4.0,
            values=even(grade_of(activity, decisions), 100.0),
            is_setting=any(stage.grade is not None for stage in decisions.stages),
        )
    )
    found.append(
        Lane(
            label="Cadence, per minute",
            unit="per min",
            digits=0,
            height_px=38,
            least_span=20.0,
            values=even(samples["cadence_rpm"].to_numpy()),
        )
    )
    return (found[0], *(lane for lane in found[1:] if np.isfinite(lane.values).any()))


def _plain_speed(activity: Activity, decisions: Decisions) -> np.ndarray:
    """Speed as the belt or the watch has it, not brought to the flat: the grade has its own lane."""
    if not any(stage.speed_mps is not None for stage in decisions.stages):
        return activity.samples["speed_mps"].to_numpy()
    time_s = activity.samples["time_s"].to_numpy()
    speed = np.full(time_s.shape, np.nan)
    for stage in decisions.stages:
        if stage.speed_mps is not None:
            speed[inside(time_s, [stage])] = stage.speed_mps
    return speed


def on_seconds(time_s: np.ndarray, values: np.ndarray) -> np.ndarray:
    """Values on an even grid of one second: each held until the next, for at most ``LONGEST_STEP_S``.

    Examples
    --------
    >>> on_seconds(np.array([0.0, 1.0, 3.0]), np.array([1.0, 2.0, 4.0]))
    array([1., 2., 2., 4.])
    """
    if time_s.size == 0:
        return np.zeros(0)
    grid_s = np.arange(np.floor(time_s[-1]) + 1.0)
    latest = np.searchsorted(time_s, grid_s, side="right") - 1
    age_s = grid_s - time_s[np.maximum(latest, 0)]
    return np.where((latest >= 0) & (age_s <= LONGEST_STEP_S), values[np.maximum(latest, 0)], np.nan)
