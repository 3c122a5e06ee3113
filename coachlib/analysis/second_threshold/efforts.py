"""What one recording holds for the second threshold: all-out trials, and the stages of a step test or ramp."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

import numpy as np

from coachlib.analysis.recording.output import output_of
from coachlib.errors import UnfitTest
from coachlib.measures.common.sampling import time_weights, weighted_mean
from coachlib.measures.common.spans import Span, Stretch, inside
from coachlib.measures.second_threshold.time_trial import TimeTrial, time_trial
from coachlib.records.activity import Activity
from coachlib.records.decisions import Decisions

#: Heart rate of a stage, and the one a trial ends with, is read from its last part. [s]  Own choice: it has settled
#: by then.
SETTLED_S = 60.0


@dataclass(frozen=True, kw_only=True)
class ReadTrial:
    """A 30-minute trial with its day; ``unit`` is "m/s" or "W" of its output, "" where none is known."""

    on: date
    sport: str
    sha256: str
    unit: Literal["m/s", "W", ""]
    length_s: float
    result: TimeTrial


@dataclass(frozen=True, kw_only=True)
class Trial:
    """One all-out trial: its length [s], the distance [m] or work [J] done in it, heart rate at its end [1/min].

    A typed-in trial has no day; heart rate is NaN where it is not known.
    """

    on: date | None
    sport: str | None
    time_s: float
    work: float
    unit: Literal["m", "J"]
    hr_end_bpm: float = float("nan")


@dataclass(frozen=True, kw_only=True, eq=False)
class StepTest:
    """The stages with lactate: load [W or m/s, as ``unit`` says], lactate [mmol/l] and settled heart rate [1/min]."""

    on: date
    sport: str
    sha256: str
    unit: Literal["m/s", "W"]
    load: np.ndarray
    lactate_mmol_l: np.ndarray
    hr_bpm: np.ndarray


def time_trial_of(activity: Activity, decisions: Decisions, *, on: date) -> ReadTrial:
    """The 30-minute trial that the coach marked in a recording.

    Parameters
    ----------
    activity : Activity
        The recording.
    decisions : Decisions
        With a window whose purpose is "trial"; the first counts.
    on : date
        The athlete's day.

    Raises
    ------
    UnfitTest
        When no window is marked as a trial.
    TooLittleData
        As ``measures.second_threshold.time_trial.time_trial``.

    Source
    ------
    See ``measures.second_threshold.time_trial``.
    """
    window = next((w for w in decisions.windows if w.purpose == "trial"), None)
    if window is None:
        raise UnfitTest("no window is marked as a trial. Mark it on the recording's page.")
    output = output_of(activity, decisions)
    time_s, hr_bpm, used = counted_heart_rate(activity, decisions)
    result = time_trial(
        time_s,
        hr_bpm,
        np.full(time_s.shape, np.nan) if output is None else output.values,
        used,
        start_s=window.start_s,
        stop_s=window.stop_s,
        is_power=output is not None and output.unit == "W",
    )
    return ReadTrial(
        on=on,
        sport=activity.sport,
        sha256=activity.sha256,
        unit="" if output is None else "W" if output.unit == "W" else "m/s",
        length_s=window.stop_s - window.start_s,
        result=result,
    )


def critical_trials_of(activity: Activity, decisions: Decisions, *, on: date) -> tuple[Trial, ...]:
    """Every window that the coach marked as a trial in a recording of critical trials.

    Raises
    ------
    UnfitTest
        When the recording has neither power nor speed.

    Source
    ------
    Means over time.
    """
    output = output_of(activity, decisions)
    if output is None:
        raise UnfitTest("the recording has neither power nor speed.")
    time_s = activity.samples["time_s"].to_numpy()
    weights = time_weights(time_s)
    found = []
    for window in (w for w in decisions.windows if w.purpose == "trial"):
        counts = inside(time_s, [window]) & np.isfinite(output.values)
        mean = weighted_mean(output.values, np.where(counts, weights, 0.0))
        if np.isfinite(mean):
            length_s = window.stop_s - window.start_s
            found.append(
                Trial(
                    on=on,
                    sport=activity.sport,
                    time_s=length_s,
                    work=mean * length_s,
                    unit="J" if output.unit == "W" else "m",
                    hr_end_bpm=settled_heart_rate(activity, decisions, window),
                )
            )
    return tuple(found)


def step_test_of(activity: Activity, decisions: Decisions, *, on: date) -> StepTest | None:
    """The step test of a recording, load being power, else speed; None where no stage has lactate.

    Raises
    ------
    UnfitTest
        When a stage with lactate has no load.

    Source
    ------
    Means over time.
    """
    stages = [s for s in decisions.stages if s.lactate_mmol_l is not None]
    if not stages:
        return None
    by_power = all(s.power_w is not None for s in stages)
    load = [s.power_w if by_power else s.speed_mps for s in stages]
    if None in load:
        raise UnfitTest("a stage with lactate has neither power nor speed. Fill in one of them.")
    return StepTest(
        on=on,
        sport=activity.sport,
        sha256=activity.sha256,
        unit="W" if by_power else "m/s",
        load=np.array(load, dtype=float),
        lactate_mmol_l=np.array([s.lactate_mmol_l for s in stages], dtype=float),
        hr_bpm=np.array([settled_heart_rate(activity, decisions, s) for s in stages]),
    )


def counted_heart_rate(activity: Activity, decisions: Decisions) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """Time [s], heart rate [1/min], and which of it counts."""
    samples = activity.samples
    time_s = samples["time_s"].to_numpy()
    excluded = [e for e in decisions.exclusions if e.quantity == "hr_bpm"]
    return time_s, samples["hr_bpm"].to_numpy(), ~inside(time_s, excluded)


def settled_heart_rate(activity: Activity, decisions: Decisions, stretch: Stretch) -> float:
    """Mean heart rate of the last minute of a stretch [1/min]; NaN where there is none."""
    time_s, hr_bpm, used = counted_heart_rate(activity, decisions)
    last = Span(start_s=max(stretch.start_s, stretch.stop_s - SETTLED_S), stop_s=stretch.stop_s)
    late = used & np.isfinite(hr_bpm) & inside(time_s, [last])
    return weighted_mean(hr_bpm, np.where(late, time_weights(time_s), 0.0))
